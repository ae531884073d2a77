//! Jobs and instruments in the terminal.

use crate::{out, plateau, without, write};

/// A small job as a person may write it by hand: the shop works out what a line leaves out. Invented.
fn lines() -> String {
    let job = "019c936f-bab8-7000-8000-000000000001";
    let id = |n: u32| format!("019c936f-bab8-7{n:03x}-8000-000000000001");
    let line = |n: u32, kind: &str, body: &str| {
        format!(
            "{{\"id\":\"{}\",\"job\":\"{job}\",\"at\":\"2026-03-03T08:{n:02}:00Z\",\"author\":\"builder\",\"kind\":\"{kind}\",\"body\":{body}}}\n",
            id(n)
        )
    };
    [
        line(1, "job_opened", r#"{"title":"1.6-litre eight-valve four","purpose":"Hill-climb car","built_for":"endurance","complaint":"Two cylinders run rich.","fuel":"98 RON"}"#),
        line(2, "claim", r#"{"component":"Ports","words":"Ported by hand, all four alike.","by":"the last shop","weight":"decides_the_build"}"#),
        line(3, "evidence_file", &format!(r#"{{"name":"port.png","caption":"Port 1, seat step.","about":["{}"]}}"#, id(2))),
        line(4, "finding", &format!(r#"{{"component":"Ports","words":"Spread 10.7 %, outer pair short.","claim":"{}","severity":"major","found":{{"word":"not alike"}},"shown_by":["{}"]}}"#, id(2), id(3))),
        line(5, "verdict_given", &format!(r#"{{"on":"{}","verdict":"not_true","because":"The outer pair flows less by 10 %.","rests_on":["{}"]}}"#, id(2), id(4))),
        line(6, "sheet_begun", r#"{"template":"ring_gaps","title":"Ring end gaps","counts":{"cylinders":4},"built_for":"endurance","unit":"mm","instruments":[{"key":"feeler_gauge"}]}"#),
    ]
    .concat()
}

/// A PNG of one grey pixel, written out (ISO/IEC 15948): head, one stored block, end.
fn picture() -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |name: &[u8], data: &[u8]| {
        bytes.extend((data.len() as u32).to_be_bytes());
        let named = [name, data].concat();
        let crc = named.iter().fold(u32::MAX, |crc, byte| {
            (0..8).fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { (c >> 1) ^ 0xedb8_8320 } else { c >> 1 })
        });
        bytes.extend(&named);
        bytes.extend((!crc).to_be_bytes());
    };
    chunk(b"IHDR", &[0, 0, 0, 1, 0, 0, 0, 1, 8, 0, 0, 0, 0]);
    // One row: filter 0, grey 128; deflate's stored block between zlib's head and Adler-32 (1 + 0 + 128, 1 + 1 + 129).
    chunk(b"IDAT", &[0x78, 0x01, 0x01, 2, 0, 0xfd, 0xff, 0, 128, 0, 130, 0, 129]);
    chunk(b"IEND", &[]);
    bytes
}

fn shop_with_job(dir: &tempfile::TempDir) -> String {
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let lines = write(dir.path(), "job.jsonl", &lines());
    std::fs::write(dir.path().join("port.png"), picture()).unwrap();
    let files = dir.path().to_string_lossy().into_owned();
    let (text, errors, code) = out(plateau().args(["job", "bring", &lines, "--files", &files, "--shop", &shop]));
    assert_eq!((text.as_str(), errors.as_str(), code), ("Job 1: 6 entries, 6 of them new\n", "", 0));
    shop
}

#[test]
fn a_job_is_brought_shown_listed_and_found() {
    let dir = tempfile::tempdir().unwrap();
    let shop = shop_with_job(&dir);
    let (text, _, code) = out(plateau().args(["job", "show", "1", "--entries", "--shop", &shop]));
    assert_eq!(code, 0);
    insta::assert_snapshot!("job_shown", text);
    let (text, _, _) = out(plateau().args(["job", "list", "--shop", &shop]));
    insta::assert_snapshot!("job_listed", text);
    let find = |words: &str| out(plateau().args(["job", "list", "--find", words, "--shop", &shop])).0;
    assert!(find("outer pair").starts_with("    1  "), "{}", find("outer pair"));
    assert_eq!(find("turbo"), "No job fits.\n");
    let (text, _, _) = out(plateau().args(["job", "list", "--stage", "on_dyno", "--shop", &shop]));
    assert_eq!(text, "No job fits.\n");
    let (text, _, _) = out(plateau().args(["job", "show", "1", "--json", "--shop", &shop]));
    let whole: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(whole["claims"][0]["verdicts"][0]["verdict"], "not_true");
    assert_eq!(whole["next_stage"], "opened_up");
    let keys: Vec<&str> = whole["missing"].as_array().unwrap().iter().filter_map(|m| m["key"].as_str()).collect();
    assert_eq!(keys, ["opened:permission", "tests_before", "owners_yes:opened_up"]);
}

#[test]
fn a_job_goes_out_with_its_files_and_into_another_shop() {
    let dir = tempfile::tempdir().unwrap();
    let shop = shop_with_job(&dir);
    let out_dir = dir.path().join("out").to_string_lossy().into_owned();
    let lines = dir.path().join("out.jsonl").to_string_lossy().into_owned();
    let (_, errors, code) =
        out(plateau().args(["job", "export", "1", "--to", &lines, "--files", &out_dir, "--shop", &shop]));
    assert_eq!((errors.as_str(), code), ("", 0));
    assert_eq!(std::fs::read(dir.path().join("out/port.png")).unwrap(), picture());

    let other = dir.path().join("other").to_string_lossy().into_owned();
    let (_, errors, code) = out(plateau().args(["job", "bring", &lines, "--shop", &other]));
    assert_eq!(code, 1);
    assert!(without(&dir, &errors).contains("line 3: the file `port.png` is not there"), "{errors}");
    let (text, _, _) = out(plateau().args(["job", "bring", &lines, "--files", &out_dir, "--shop", &other]));
    assert_eq!(text, "Job 1: 6 entries, 6 of them new\n");
    let (text, _, code) = out(plateau().args(["check", "--shop", &other]));
    assert_eq!(code, 0, "{text}");
    // A file that was changed on the way is not taken for the one that the entry names.
    std::fs::write(dir.path().join("out/port.png"), [picture(), vec![0]].concat()).unwrap();
    let third = dir.path().join("third").to_string_lossy().into_owned();
    let (_, errors, code) = out(plateau().args(["job", "bring", &lines, "--files", &out_dir, "--shop", &third]));
    assert_eq!(code, 1);
    assert!(errors.contains("it is another file"), "{errors}");
}

#[test]
fn what_is_not_there_is_said() {
    let dir = tempfile::tempdir().unwrap();
    let shop = shop_with_job(&dir);
    let (_, errors, code) = out(plateau().args(["job", "show", "7", "--shop", &shop]));
    assert_eq!((errors.as_str(), code), ("error: there is no job 7 in this shop\n", 1));
    let (_, errors, code) = out(plateau().args(["job", "list", "--stage", "flying", "--shop", &shop]));
    assert_eq!(code, 2);
    assert!(errors.contains("one of received, opened_up"), "{errors}");
}

#[test]
fn the_register_is_shown_and_set() {
    let dir = tempfile::tempdir().unwrap();
    let shop = shop_with_job(&dir);
    let (start, _, code) = out(plateau().args(["instruments", "show", "--shop", &shop]));
    assert_eq!(code, 0);
    let mine = start.replace("title = \"instruments to start from\"", "title = \"instruments of the shop\"");
    let file = write(dir.path(), "mine.toml", &mine);
    let (text, errors, code) = out(plateau().args(["instruments", "set", &file, "--shop", &shop]));
    assert_eq!((errors.as_str(), code), ("", 0));
    assert!(text.starts_with("Text 1 of the register is kept: "), "{text}");
    assert_eq!(out(plateau().args(["instruments", "show", "--shop", &shop])).0, mine);
    let bad = write(dir.path(), "bad.toml", &mine.replace("step = \"0.002 mm\"", "step = \"two\""));
    let (_, errors, code) = out(plateau().args(["instruments", "set", &bad, "--shop", &shop]));
    assert_eq!(code, 1);
    assert!(errors.contains("line ") && errors.contains("the register was left as it was"), "{errors}");
}
