//! Reading logs: the folder of broken logs with the exact words, and logs as cells write them.

use pull::cell::{Answers, CellFile};
use pull::log::{Log, RawLog, Severity};
use pull::read::assign::{self, Proposal, SettleError};
use pull::read::{ReadError, ReadHints, message};
use pull::role::Role;

fn read(text: impl AsRef<[u8]>) -> RawLog {
    try_read(text.as_ref(), &Answers::default()).expect("a log")
}

fn try_read(bytes: &[u8], answers: &Answers) -> Result<RawLog, ReadError> {
    pull::read::read("log.csv", bytes, &ReadHints::new(&CellFile::default(), answers), &|_| {})
}

fn propose(raw: &RawLog) -> Proposal {
    assign::propose(raw, &CellFile::default(), &Answers::default(), None, None)
}

fn settle(text: impl AsRef<[u8]>) -> Log {
    let raw = read(text);
    let proposal = propose(&raw);
    assign::settle(raw, &proposal, None, None).expect("settled")
}

fn column<'a>(raw: &'a RawLog, name: &str) -> &'a [f64] {
    let all: Vec<&str> = raw.groups[0].columns.iter().map(|c| c.name.as_str()).collect();
    &raw.groups[0].columns.iter().find(|c| c.name == name).unwrap_or_else(|| panic!("no {name} in {all:?}")).values
}

fn codes(raw: &RawLog) -> Vec<&str> {
    raw.problems.iter().map(|p| p.code.as_str()).collect()
}

/// Every file of the folder: the same words that terminal and page show.
#[test]
fn every_broken_log_has_its_message() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bad_logs");
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().into_string().expect("a name"))
        .filter(|name| name.ends_with(".csv"))
        .collect();
    names.sort();
    assert!(names.len() >= 60, "{} files", names.len());
    for name in names {
        let bytes = std::fs::read(format!("{folder}/{name}")).expect("a file");
        let read = pull::read::read(&name, &bytes, &ReadHints::default(), &|_| {});
        let questions = read.as_ref().map(|raw| propose(raw).questions).unwrap_or_default();
        let mut words = message::render(&name, read.as_ref(), &questions);
        if words.is_empty() {
            words = "(nothing to say)\n".to_owned();
        }
        let mut settings = insta::Settings::clone_current();
        settings.set_snapshot_path("../bad_logs/messages");
        settings.set_prepend_module_to_snapshot(false);
        settings.set_omit_expression(true);
        settings.bind(|| insta::assert_snapshot!(name.trim_end_matches(".csv"), words));
    }
}

#[test]
fn the_same_numbers_in_every_form() {
    let plain = "Time (s),RPM,Torque (Nm)\n0.00,2000,300.5\n0.01,2010,301.25\n0.02,2020,302\n";
    let comma = plain.replace(',', ";").replace('.', ",");
    let forms: Vec<(&str, Vec<u8>)> = vec![
        ("commas", plain.into()),
        ("semicolons and decimal comma", comma.clone().into()),
        ("tabs", plain.replace(',', "\t").into()),
        ("tabs and decimal comma", comma.replace(';', "\t").into()),
        ("bars", plain.replace(',', "|").into()),
        ("CR LF", plain.replace('\n', "\r\n").into()),
        ("CR", plain.replace('\n', "\r").into()),
        ("CR CR LF", plain.replace('\n', "\r\r\n").into()),
        ("mixed", plain.replacen('\n', "\r\n", 1).replacen("5\n", "5\r", 1).into()),
        ("byte-order mark", format!("\u{feff}{plain}").into()),
        ("UTF-16 LE", [vec![0xFF, 0xFE], plain.encode_utf16().flat_map(u16::to_le_bytes).collect()].concat()),
        ("UTF-16 BE", [vec![0xFE, 0xFF], plain.encode_utf16().flat_map(u16::to_be_bytes).collect()].concat()),
        ("UTF-16 without mark", plain.encode_utf16().flat_map(u16::to_le_bytes).collect()),
        ("quoted", plain.lines().map(|l| format!("\"{}\"\n", l.replace(',', "\",\""))).collect::<String>().into()),
        (
            "quoted decimal comma",
            comma.lines().map(|l| format!("\"{}\"\n", l.replace(';', "\",\""))).collect::<String>().into(),
        ),
        ("spaces", plain.replace(',', " , ").into()),
        ("stated delimiter", format!("sep=,\n{plain}").into()),
        ("trailing delimiters", plain.replace('\n', ",\n").into()),
        (
            "trailing delimiters below",
            plain.replacen('\n', "\n#", 1).replace('\n', ",\n").replacen(",\n#", "\n", 1).into(),
        ),
        ("no line end at the end", plain.trim_end().into()),
        ("preamble", format!("Invented shop\nOperator: nobody\n\n{plain}").into()),
        ("units in square brackets", plain.replace("(s)", "[s]").replace("(Nm)", "[Nm]").into()),
        ("units in their own row", plain.replacen("Time (s),RPM,Torque (Nm)", "Time,RPM,Torque\ns,1/min,Nm", 1).into()),
        (
            "units in brackets in their own row",
            plain.replacen("Time (s),RPM,Torque (Nm)", "Time,RPM,Torque\n[s],[rpm],[Nm]", 1).into(),
        ),
        ("blank line below the header", plain.replacen('\n', "\n\n", 1).into()),
        ("exponents", plain.replace("300.5", "3.005e2").replace("2010", "2.01E+03").into()),
    ];
    let expected = settle(plain);
    for (form, bytes) in forms {
        let raw = try_read(&bytes, &Answers::default()).unwrap_or_else(|e| panic!("{form}: {e}"));
        assert_eq!(raw.groups[0].rows, 3, "{form}");
        let proposal = propose(&raw);
        let log = assign::settle(raw, &proposal, None, None)
            .unwrap_or_else(|e| panic!("{form}: {e} {:?}", proposal.questions));
        assert_eq!(log.groups[0].time_s, expected.groups[0].time_s, "{form}");
        for role in [Role::Speed, Role::Torque] {
            assert_eq!(log.groups[0].values(role), expected.groups[0].values(role), "{form}");
        }
    }
}

#[test]
fn names_and_units_over_two_rows() {
    let raw =
        read("Engine,,Oil,\nSpeed,Torque,Temp,Press\nrpm,Nm,degC,kPa\n2000,300.5,90.5,400.5\n2010,301.5,90.6,401.5\n");
    let names: Vec<(&str, Option<&str>)> =
        raw.groups[0].columns.iter().map(|c| (c.name.as_str(), c.unit_text.as_deref())).collect();
    assert_eq!(
        names,
        [
            ("Engine Speed", Some("rpm")),
            ("Engine Torque", Some("Nm")),
            ("Oil Temp", Some("degC")),
            ("Oil Press", Some("kPa"))
        ]
    );
    assert_eq!(propose(&raw).column("Oil Temp").and_then(|c| c.role), Some(Role::OilTemperature));
}

#[test]
fn preamble_lines_are_kept_as_facts() {
    let raw = read("Invented shop\nOperator: nobody\nGas;pump\n\nTime (s);RPM;Nm\n0,1;2000;1,5\n0,2;2001;2,5\n");
    let fact = |key: &str| raw.facts.iter().find(|f| f.0 == key).map(|f| f.1.as_str());
    assert_eq!(fact("line 1"), Some("Invented shop"));
    assert_eq!(fact("Operator"), Some("nobody"));
    assert_eq!(fact("Gas"), Some("pump"));
}

#[test]
fn clocks_become_seconds_and_run_past_midnight() {
    let raw = read("Time,RPM,Torque (Nm)\n23:59:59.5,2000,300\n23:59:59.75,2010,301\n00:00:00.0,2020,302\n");
    assert_eq!(column(&raw, "Time"), [0.0, 0.25, 0.5]);
    let raw = read("Time,RPM,Torque (Nm)\n2026-04-08 23:59:59.5,2000,300\n2026-04-09 00:00:00.0,2020,302\n");
    assert_eq!(column(&raw, "Time"), [0.0, 0.5]);
    assert_eq!(raw.groups[0].time_column, Some(0));
    let raw = read("Zeit;RPM;Torque (Nm)\n00:01,5;2000;300\n00:02,25;2020;302\n");
    assert_eq!(column(&raw, "Zeit"), [0.0, 0.75]);
}

#[test]
fn milliseconds_are_seconds_in_the_log() {
    let log = settle("Time (ms),RPM,Torque (Nm)\n1000,2000,300\n1010,2010,301\n1020,2020,302\n");
    // 10 ms is 0.01 s after one multiplication by 0.001 and one difference: a few 1e-17.
    assert!((log.groups[0].time_s[1] - 0.01).abs() < 1e-12);
}

#[test]
fn a_header_again_begins_a_part_and_time_goes_on_behind_it() {
    let part = "Time (s),RPM,Torque (Nm)\n0.00,2000,300.5\n0.01,2010,301.2\n";
    let log = settle(part.repeat(3));
    let table = &log.groups[0];
    assert_eq!(table.rows(), 6);
    assert!(table.time_s.windows(2).all(|w| w[0] < w[1]));
    assert!(table.time_s[2] - table.time_s[1] > 5.0);
    let segment = table.channels.iter().find(|c| c.name == pull::read::csv::SEGMENT).expect("parts");
    assert_eq!(segment.si, [1.0, 1.0, 2.0, 2.0, 3.0, 3.0]);
}

#[test]
fn bad_rows_are_left_out_only_when_asked_and_are_counted() {
    let text =
        "Time (s),RPM,Torque (Nm)\n0.00,2000,300.5\n0.01,2010,3O1\n0.02,2020,302\n0.03,2030,303,9\n0.04,2040,304\n";
    let raw = read(text);
    assert_eq!(raw.problems.iter().filter(|p| p.severity == Severity::Stop).count(), 2);
    let proposal = propose(&raw);
    assert!(matches!(assign::settle(raw, &proposal, None, None), Err(SettleError::Stopped { .. })));
    let answers = Answers { leave_out_bad_rows: true, ..Answers::default() };
    let raw = try_read(text.as_bytes(), &answers).expect("a log");
    assert_eq!((raw.groups[0].rows, raw.groups[0].rows_found), (3, 5));
    assert_eq!(column(&raw, "RPM"), [2000.0, 2020.0, 2040.0]);
    assert_eq!(codes(&raw), ["row_too_long", "text_in_number"]);
    let proposal = propose(&raw);
    let log = assign::settle(raw, &proposal, None, None).expect("settled");
    assert_eq!((log.rows_found, log.rows_kept), (5, 3));
}

#[test]
fn text_in_a_column_of_no_interest_stops_nothing() {
    let text = "Time (s),RPM,Torque (Nm),Gear\n0.00,2000,300,1\n0.01,2010,301,N\n0.02,2020,302,2\n";
    assert_eq!(read(text).problems[0].severity, Severity::Stop);
    let mut answers = Answers::default();
    answers.roles.insert("Gear".to_owned(), "none".to_owned());
    let raw = try_read(text.as_bytes(), &answers).expect("a log");
    assert!(raw.problems.iter().all(|p| p.severity == Severity::Note), "{:?}", raw.problems);
}

#[test]
fn questions_are_answered_and_remembered() {
    let text = "Time (s),RPM,Torque (Nm),Baro\n0.00,2000,300,29.1\n0.01,2010,301,29.1\n0.02,2020,302,29.1\n";
    let raw = read(text);
    let proposal = propose(&raw);
    let question = proposal.questions.iter().find(|q| q.id == "unit:Baro").expect("asked");
    assert!(!question.must);
    assert_eq!(question.choices[0].key, "inHg");
    assert_eq!(question.answer_flag, "--unit Baro=inHg");
    // Unanswered, the channel comes along without a role.
    let log = assign::settle(raw.clone(), &proposal, None, None).expect("settled");
    assert!(log.groups[0].channel(Role::Barometer).is_none());
    assert!(log.problems.iter().any(|p| p.code == "not_settled"));

    let mut answers = Answers::default();
    assign::answer(question, "inHg", &mut answers).expect("an answer");
    assert!(assign::answer(question, "furlong", &mut answers).is_err());
    let proposal = assign::propose(&raw, &CellFile::default(), &answers, None, None);
    assert!(proposal.questions.is_empty());
    let log = assign::settle(raw.clone(), &proposal, None, None).expect("settled");
    // 29.1 inHg × 3386.389 Pa/inHg (conventional inch of mercury, NIST SP 811) = 98 543.9 Pa; half a digit: 0.05 Pa × 29.
    assert!((log.groups[0].values(Role::Barometer).expect("a barometer")[0] - 98_543.9).abs() < 1.5);

    let cell = assign::learn(&CellFile::default(), &proposal, &answers);
    let text = pull::cell_file::write(&cell, None);
    let cell = pull::cell_file::parse(&text).expect("our own file");
    let proposal = assign::propose(&raw, &cell, &Answers::default(), None, None);
    assert!(proposal.questions.is_empty(), "{:?}", proposal.questions);
    assert_eq!(proposal.column("Baro").and_then(|c| c.role), Some(Role::Barometer));
}

#[test]
fn two_columns_of_one_name_are_asked_for() {
    let raw = read(
        std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bad_logs/same_name_twice.csv")).expect("a file"),
    );
    let proposal = propose(&raw);
    let question = &proposal.questions[0];
    assert!(question.must);
    let mut answers = Answers::default();
    assign::answer(question, "Torque (2)", &mut answers).expect("an answer");
    let proposal = assign::propose(&raw, &CellFile::default(), &answers, None, None);
    assert!(proposal.ready(), "{:?}", proposal.questions);
    let log = assign::settle(raw, &proposal, None, None).expect("settled");
    assert_eq!(log.groups[0].values(Role::Torque), Some(&[299.0, 299.5, 300.1][..]));
}

#[test]
fn the_decimal_mark_and_the_rate_can_be_answered() {
    let text = "RPM;Torque (Nm)\n2,000;300\n2,010;301\n2,020;302\n";
    // The decimal mark comes first: until the numbers are known nothing else can be asked.
    let mut answers = Answers::default();
    for (id, key) in [("decimal", "."), ("rate", "100")] {
        let raw = try_read(text.as_bytes(), &answers).expect("a log");
        let questions = assign::propose(&raw, &CellFile::default(), &answers, None, None).questions;
        assert_eq!(questions.iter().map(|q| (q.id.as_str(), q.must)).collect::<Vec<_>>(), [(id, true)]);
        assign::answer(&questions[0], key, &mut answers).expect("an answer");
    }
    let raw = try_read(text.as_bytes(), &answers).expect("a log");
    let proposal = assign::propose(&raw, &CellFile::default(), &answers, None, None);
    let log = assign::settle(raw, &proposal, None, None).expect("settled");
    assert_eq!(log.groups[0].time_s, [0.0, 0.01, 0.02]);
    // 2000 rpm = 2000 · 2π/60 rad/s.
    let expected = 2000.0 * std::f64::consts::TAU / 60.0;
    assert!((log.groups[0].values(Role::Speed).expect("speed")[0] - expected).abs() < 1e-9);
}

#[test]
fn an_air_fuel_ratio_becomes_lambda_with_the_fuel() {
    let text = "Time (s),RPM,Torque (Nm),AFR 2\n0.00,2000,300,11.76\n0.01,2010,301,14.7\n";
    let raw = read(text);
    assert!(propose(&raw).questions.iter().any(|q| q.id == "fuel" && !q.must));
    let proposal = assign::propose(&raw, &CellFile::default(), &Answers::default(), Some(14.7), None);
    let log = assign::settle(raw, &proposal, Some(14.7), None).expect("settled");
    let lambda = log.groups[0].values(Role::Lambda(2)).expect("lambda");
    assert!((lambda[0] - 0.8).abs() < 1e-12 && (lambda[1] - 1.0).abs() < 1e-12);
}

#[test]
fn force_needs_an_arm() {
    let raw = read("Time (s),RPM,Cell force (N)\n0.00,2000,900\n0.01,2010,905\n");
    let proposal = propose(&raw);
    let question = proposal.questions.iter().find(|q| q.id == "arm").expect("asked");
    let mut answers = Answers::default();
    assert!(assign::answer(question, "0.35", &mut answers).is_err());
    assign::answer(question, "0.35 m", &mut answers).expect("an answer");
    let proposal = assign::propose(&raw, &CellFile::default(), &answers, None, None);
    assert!(proposal.ready());
    let cell = assign::learn(&CellFile::default(), &proposal, &answers);
    assert_eq!(cell.arm.map(|a| a.value), Some(0.35));
}

#[test]
fn other_languages_are_understood() {
    for text in [
        "Zeit (s);Drehzahl (1/min);Drehmoment (Nm);Öltemperatur (°C)\n0,5;2000;300,5;85,1\n0,6;2010;301,2;85,1\n",
        "Temps (s);Régime (tr/min);Couple (Nm);Temp huile (°C)\n0,5;2000;300,5;85,1\n0,6;2010;301,2;85,1\n",
        "Tiempo (s);RPM (rpm);Par (Nm);Temp aceite (°C)\n0,5;2000;300,5;85,1\n0,6;2010;301,2;85,1\n",
        "Tempo (s);Giri (rpm);Coppia (Nm);Temp olio (°C)\n0,5;2000;300,5;85,1\n0,6;2010;301,2;85,1\n",
    ] {
        let log = settle(text);
        for role in [Role::Speed, Role::Torque, Role::OilTemperature] {
            assert!(log.groups[0].channel(role).is_some(), "{role} in {text}");
        }
    }
}

#[test]
fn a_cell_file_keeps_comments_and_names_faults_by_place() {
    let text = "# our cell\nname = \"North cell\" # the big one\ninertia = \"0.42 kg·m² ± 0.02 kg·m²\"\n\n[channels.\"Torque\"]\nrole = \"torque\"\nunit = \"N·m\" # from the strip\nlag = \"0.15 s\"\n";
    let cell = pull::cell_file::parse(text).expect("a cell file");
    let inertia = cell.inertia.clone().expect("inertia");
    assert_eq!((inertia.value, inertia.u), (0.42, Some(0.02)));
    assert_eq!(cell.channels["Torque"].lag_s, Some(0.15));
    assert_eq!(pull::cell_file::write(&cell, Some(text)), text);
    let mut more = cell.clone();
    more.decimal = Some(',');
    more.channels.get_mut("Torque").expect("torque").unit = Some("lb-ft".to_owned());
    let written = pull::cell_file::write(&more, Some(text));
    assert!(
        written.contains("# our cell")
            && written.contains("# the big one")
            && written.contains("\"lb-ft\" # from the strip"),
        "{written}"
    );
    assert_eq!(pull::cell_file::parse(&written).expect("our own"), more);

    for (text, words) in [
        ("name = \"a\"\ninertai = \"1 kg·m²\"\n", "line 2, column 1: no key is called `inertai`; perhaps `inertia`"),
        ("[channels.\"T\"]\nrole = \"torqe\"\n", "line 2, column 8: no role is called `torqe`; perhaps `torque`"),
        ("inertia = 0.42\n", "line 1, column 11: `inertia` is no text; put it in quotes, with its unit"),
        (
            "altitude = \"240\"\n",
            "line 1, column 12: `240` has no unit; write a number and a unit of length, such as \"1 m\"",
        ),
        ("[log]\ndecimal = \";\"\n", "line 2, column 11: `;` is no decimal mark; write \".\" or \",\""),
    ] {
        assert_eq!(pull::cell_file::parse(text).expect_err(text).to_string(), words);
    }
    assert!(pull::cell_file::parse("name = \n").is_err());
}
