//! A job carried from one shop to another and back.

use crate::sample::*;
use notebook::CarryError;

#[test]
fn a_job_goes_to_another_shop_and_stays_the_same() {
    let (_dir, here, view) = with_job();
    let forged = claim("Forged pistons, the good ones.");
    here.write(view.id, &[forged.clone(), verdict(forged.id)], &builder()).unwrap();
    let lines = here.export(&here.job(1).unwrap()).unwrap();
    assert_eq!(lines.lines().count(), 3);

    let (_other, there) = shop();
    let nothing = |_: &str| None;
    let brought = there.bring(&lines, &nothing).unwrap();
    assert_eq!((brought.number, brought.entries, brought.new), (1, 3, 3));
    assert_eq!(there.job(1).unwrap().job.lines, here.job(1).unwrap().job.lines);
    // Again: nothing is doubled.
    let again = there.bring(&lines, &nothing).unwrap();
    assert_eq!((again.entries, again.new), (3, 0));
    assert_eq!(there.check().unwrap().faults, Vec::<String>::new());
}

#[test]
fn lines_that_do_not_fit_are_named() {
    let (_dir, notebook, view) = with_job();
    let lines = notebook.export(&view).unwrap();
    let nothing = |_: &str| None;
    let error = notebook.bring(&format!("{lines}{{\"id\":1}}\n"), &nothing).unwrap_err();
    assert!(error.to_string().starts_with("line 2: "), "{error}");
    let other = lines.replace(&view.id.to_string(), &notebook::Notebook::new_id().to_string());
    let error = notebook.bring(&format!("{lines}{other}"), &nothing).unwrap_err();
    assert!(matches!(error, CarryError::NotOneJob { .. }), "{error}");
    assert!(notebook.bring("\n\n", &nothing).is_err());
}
