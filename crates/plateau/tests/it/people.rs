//! Accounts from the terminal, and serving to other machines.

use crate::{out, plateau};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};

const PASSWORD: &str = "grey lathe by the door";

fn shop() -> (tempfile::TempDir, String) {
    let dir = tempfile::tempdir().unwrap();
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    (dir, shop)
}

fn people(shop: &str, args: &[&str], typed: &str) -> (String, String, i32) {
    out(plateau().arg("people").args(args).args(["--shop", shop]).write_stdin(typed.to_owned()))
}

#[test]
fn accounts_are_made_changed_and_closed() {
    let (_dir, shop) = shop();
    let typed = format!("{PASSWORD}\n");
    let steps: [(&[&str], &str, &str, i32); 12] = [
        (
            &["add", "Mara", "--person", "Mara Lind"],
            &typed,
            "mara: Mara Lind, bench, cell, office, keeps the accounts\n",
            0,
        ),
        (&["add", "ove", "--person", "Ove Holt", "--roles", "bench,cell"], &typed, "ove: Ove Holt, bench, cell\n", 0),
        (&["add", "ove", "--person", "Ove Holt"], &typed, "", 1),
        (&["add", "liv", "--person", "Liv", "--roles", "boss"], &typed, "", 1),
        (&["add", "liv", "--person", "Liv"], "short\n", "", 1),
        (&["add", "li v", "--person", "Liv"], &typed, "", 1),
        (&["change", "ove", "--roles", "none", "--person", "Ove H. Holt"], "", "ove: Ove H. Holt, looks only\n", 0),
        (&["close", "mara"], "", "", 1),
        (&["change", "ove", "--keeps", "yes"], "", "ove: Ove H. Holt, looks only, keeps the accounts\n", 0),
        (&["close", "mara"], "", "mara: Mara Lind, bench, cell, office, keeps the accounts (closed)\n", 0),
        (&["open", "mara"], "", "mara: Mara Lind, bench, cell, office, keeps the accounts\n", 0),
        (&["password", "nobody"], &typed, "", 1),
    ];
    for (args, typed, expected, code) in steps {
        let (text, errors, found) = people(&shop, args, typed);
        assert_eq!((text.as_str(), found), (expected, code), "{args:?}: {errors}");
        assert_eq!(errors.is_empty(), code == 0, "{args:?}: {errors}");
        assert!(code == 0 || errors.contains("nothing was saved") || errors.contains("go on"), "{args:?}: {errors}");
        assert!(!errors.contains(PASSWORD));
    }
    let (text, _, code) = people(&shop, &[], "");
    assert_eq!((text.lines().count(), code), (2, 0), "{text}");
}

#[test]
fn a_password_is_never_taken_from_the_command_line() {
    let (_dir, shop) = shop();
    let (_, errors, code) = people(&shop, &["add", "mara", "--person", "Mara", "--password", PASSWORD], "");
    assert!(code == 2 && errors.contains("--password"), "{errors}");
    let (help, _, _) = out(plateau().args(["people", "add", "--help"]));
    assert!(!help.contains("--password"), "{help}");
}

/// The server, and what it says until it is ready.
fn serve(shop: &str, args: &[&str]) -> (Child, Vec<String>) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_plateau"))
        .args(["serve", "--shop", shop])
        .args(args)
        .env_clear()
        .env("PLATEAU_LOG", "trace")
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut said = Vec::new();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    while said.last().is_none_or(|line: &String| line != "Ctrl-C closes it.") {
        said.push(lines.next().expect("the server starts").unwrap());
    }
    (child, said)
}

/// Ends the server and gives its other output.
fn end(mut child: Child) -> String {
    child.kill().unwrap();
    let mut heard = String::new();
    child.stderr.take().unwrap().read_to_string(&mut heard).unwrap();
    child.wait().unwrap();
    heard
}

#[test]
fn other_machines_need_an_account_and_are_told_the_fingerprint() {
    let (_dir, shop) = shop();
    let (text, errors, code) = out(plateau().args(["serve", "--listen", "0.0.0.0:0", "--shop", &shop]));
    assert_eq!((text.as_str(), code), ("", 1));
    assert!(errors.contains("nobody has an account") && errors.contains("plateau people add"), "{errors}");
    assert!(!std::path::Path::new(&shop).exists(), "nothing was opened");

    people(&shop, &["add", "mara", "--person", "Mara Lind"], PASSWORD);
    let (child, said) = serve(&shop, &["--listen", "0.0.0.0:0", "--name", "shop-pc.example"]);
    end(child);
    let said = said.join("\n");
    assert!(said.contains("  https://shop-pc.example:"), "{said}");
    let fingerprint = said.lines().find(|line| line.len() == 97 && line.matches(':').count() == 31);
    assert!(fingerprint.is_some(), "{said}");
}

/// With everything asked for, the real server writes neither password nor token.
#[test]
fn the_servers_output_holds_no_secret() {
    let (_dir, shop) = shop();
    people(&shop, &["add", "mara", "--person", "Mara Lind"], PASSWORD);
    let (child, said) = serve(&shop, &["--port", "0"]);
    let port: u16 = said[0]
        .rsplit_once("127.0.0.1:")
        .unwrap()
        .1
        .trim_end_matches('/')
        .parse()
        .unwrap_or_else(|_| panic!("{said:?}"));
    let ask = |request: String| {
        let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    };
    let body = "name=mara&password=grey+lathe+by+the+door";
    let host = format!("Host: 127.0.0.1:{port}\r\nConnection: close\r\n");
    let answer = ask(format!(
        "POST /sign-in HTTP/1.1\r\n{host}Sec-Fetch-Site: same-origin\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    ));
    let cookie =
        answer.lines().find_map(|line| line.strip_prefix("set-cookie: ")).unwrap_or_else(|| panic!("{answer}"));
    let cookie = cookie.split(';').next().unwrap();
    let page = ask(format!("GET /people HTTP/1.1\r\n{host}Cookie: {cookie}\r\n\r\n"));
    assert!(page.starts_with("HTTP/1.1 200"), "{page}");
    let heard = end(child);
    assert!(heard.contains("/sign-in") && heard.contains("DEBUG"), "not much was heard: {heard}");
    let token = cookie.split_once('=').unwrap().1;
    for secret in [token, "grey+lathe", PASSWORD, "argon2id"] {
        assert!(!heard.contains(secret), "a secret in the output");
    }
    let (books, _, _) = people(&shop, &["sign-ins"], "");
    assert!(books.contains("  in        mara  127.0.0.1"), "{books}");
}
