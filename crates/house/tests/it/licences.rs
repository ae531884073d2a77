//! Every package of the locked build, those for tests included, can be used under a licence on the list.

use house::licence::allowed;
use house::metadata;

#[test]
fn every_package_has_a_licence_that_fits() {
    let metadata = metadata();
    let packages = metadata["packages"].as_array().expect("packages");
    assert!(packages.len() > 50, "only {} packages: was the metadata read?", packages.len());
    let mut bad = Vec::new();
    for package in packages {
        let name =
            format!("{} {}", package["name"].as_str().unwrap_or("?"), package["version"].as_str().unwrap_or("?"));
        match package["license"].as_str() {
            None => bad.push(format!("{name}: no licence expression")),
            Some(expression) => match allowed(expression) {
                Ok(true) => {}
                Ok(false) => bad.push(format!("{name}: {expression}")),
                Err(why) => bad.push(format!("{name}: {expression}: {why}")),
            },
        }
    }
    assert!(
        bad.is_empty(),
        "licences that do not fit (the list is in crates/house/src/licence.rs):\n{}",
        bad.join("\n")
    );
}

#[test]
fn expressions_are_read_as_spdx_says() {
    // precedence and forms: SPDX specification 2.3, annex D
    assert_eq!(allowed("MIT OR Apache-2.0"), Ok(true));
    assert_eq!(allowed("MIT/Apache-2.0"), Ok(true));
    assert_eq!(allowed("GPL-3.0-only"), Ok(false));
    assert_eq!(allowed("MIT OR GPL-3.0-only"), Ok(true));
    assert_eq!(allowed("MIT AND GPL-3.0-only"), Ok(false));
    assert_eq!(allowed("GPL-3.0-only OR MIT AND GPL-3.0-only"), Ok(false));
    assert_eq!(allowed("(GPL-3.0-only OR MIT) AND Unicode-3.0"), Ok(true));
    assert_eq!(allowed("Apache-2.0 WITH LLVM-exception"), Ok(true));
    assert_eq!(allowed("GPL-3.0-only WITH Classpath-exception-2.0"), Ok(false));
    assert!(allowed("(MIT").is_err());
    assert!(allowed("MIT Apache-2.0").is_err());
    assert!(allowed("").is_err());
}
