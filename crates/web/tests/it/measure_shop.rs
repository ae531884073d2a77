//! What belongs to measuring beside the sheets: instruments, templates, tests before teardown, the build.

use crate::bench::{Bench, assert_clean};
use axum::http::StatusCode;
use notebook::{Draft, Notebook, Writer};
use record::before::TestBefore;
use record::{Body, BuildStated, Id, JobOpened, Reading, SheetBegun, Stated, Value, WhichBuild};

const BUILD: &str = "plateau_build = 2\n# of the owner's words\n[engine]\nname = \"invented four\"\nbuilt_for = \"endurance\"\n[block]\nlayout = \"inline\"\ncylinders = 4\nbore = \"92.5 mm, claimed by the owner\"\nstroke = \"90.36 mm\"\n";

fn open(bench: &Bench) -> Id {
    let job = Notebook::new_id();
    let opened = JobOpened { title: "2.4-litre four, blown".into(), ..JobOpened::default() };
    bench.state.notebook().open_job(job, Draft::now(Body::JobOpened(opened)), &Writer::alone("builder")).unwrap();
    job
}

fn write(bench: &Bench, job: Id, body: Body) -> Id {
    let draft = Draft::now(body);
    bench.state.notebook().write(job, std::slice::from_ref(&draft), &Writer::alone("builder")).unwrap();
    draft.id
}

#[tokio::test]
async fn the_register_is_kept_and_an_overdue_instrument_is_seen() {
    let bench = Bench::new();
    let page = bench.get("/instruments").await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    assert_clean(&page.text());
    assert!(page.has("nothing in it is calibrated") && page.has("never calibrated"));
    let text = |days: &str| {
        format!(
            "version = 1\ntitle = \"bench\"\n[[instrument]]\nkey = \"gauge\"\nname = \"Bore gauge 2\"\nkind = \"bore gauge\"\nmeasures = \"length\"\nstep = \"0.001 mm\"\nplus_minus = \"0.004 mm\"\ninterval = \"{days}\"\nstanding = \"certificate\"\n[[instrument.calibration]]\non = \"2020-01-15\"\nby = \"own ring\"\n"
        )
    };
    assert_eq!(
        bench.post("/instruments", &[("text", &text("12 months")), ("revision", "0")]).await.status,
        StatusCode::SEE_OTHER
    );
    let page = bench.get("/instruments").await;
    assert!(page.has("overdue by") && page.has("The one instrument is overdue"), "{}", page.text());
    // A fault names its place; what was typed stays; nothing is kept.
    let broken = text("12 months").replace("kind = ", "kidn = ");
    let answer = bench.post("/instruments", &[("text", &broken), ("revision", "1")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_clean(&answer.text());
    for part in ["Line 6, column 1", "did you mean `kind`?", "kidn = "] {
        assert!(answer.has(part), "`{part}` is missing in {}", answer.text());
    }
    assert_eq!(
        bench.post("/instruments", &[("text", &text("20 years")), ("revision", "0")]).await.status,
        StatusCode::CONFLICT
    );
    assert_eq!(
        bench.post("/instruments", &[("text", &text("20 years")), ("revision", "1")]).await.status,
        StatusCode::SEE_OTHER
    );
    assert!(bench.get("/instruments").await.has("in date to"));
}

#[tokio::test]
async fn a_shop_writes_its_own_sheet_and_takes_it_away_again() {
    let bench = Bench::new();
    open(&bench);
    assert_clean(&bench.get("/templates").await.text());
    let shipped = record::sheet::shipped().iter().find(|t| t.key == "end_play").unwrap();
    let own =
        shipped.text.replace("key = \"end_play\"", "key = \"pump_play\"").replace(&shipped.title, "Pump end play");
    assert_eq!(bench.post("/templates/new", &[("text", &own), ("revision", "0")]).await.status, StatusCode::SEE_OTHER);
    assert!(bench.get("/templates").await.has("Pump end play"));
    assert!(bench.get("/jobs/1/sheets/new").await.has("Pump end play"));
    let broken = own.replace("formula = ", "fromula = ");
    let answer = bench.post("/templates/pump_play", &[("text", &broken), ("revision", "1")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("Line ") && answer.has("did you mean `formula`?"), "{}", answer.text());
    // A new one may not take the key of one that is there.
    let answer = bench.post("/templates/new", &[("text", &own), ("revision", "0")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("there already") || answer.has("already"), "{}", answer.text());
    assert_eq!(
        bench.post("/templates/pump_play", &[("text", ""), ("revision", "1")]).await.status,
        StatusCode::SEE_OTHER
    );
    assert!(!bench.get("/jobs/1/sheets/new").await.has("Pump end play"));
}

#[tokio::test]
async fn cranking_compression_is_kept_and_judged_with_its_sources() {
    let bench = Bench::new();
    open(&bench);
    let form = bench.get("/jobs/1/before/cranking").await;
    assert_eq!(form.status, StatusCode::OK);
    assert_clean(&form.text());
    let readings = [("r0_last", "178 psi"), ("r1_last", "112 psi"), ("r2_last", "114 psi"), ("r3_last", "176 psi")];
    let mut fields = vec![("rows", "4"), ("h_warm", "yes"), ("h_throttle_open", "yes"), ("h_strokes", "5")];
    fields.extend(readings);
    let mut wrong = fields.clone();
    wrong[4] = ("r0_last", "high");
    let answer = bench.post("/jobs/1/before/cranking", &wrong).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("value=\"high\""), "{}", answer.text());
    let answer = bench.post("/jobs/1/before/cranking", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let page = bench.get("/jobs/1/before").await;
    assert_clean(&page.text());
    for part in ["178 psi", "outside", "published: US Army", "stands out"] {
        assert!(page.has(part), "`{part}` is missing in {}", page.text());
    }
}

/// Every form: drawn, sent with something in it, and the entry reads back as the test it was.
#[tokio::test]
async fn every_test_before_teardown_can_be_written() {
    let bench = Bench::new();
    open(&bench);
    let sets: &[(&str, &[(&str, &str)])] = &[
        ("cranking", &[("r0_last", "178 psi"), ("h_station_pressure", "98.2 kPa"), ("h_altitude", "620 m")]),
        ("leak_down", &[("h_shows", "lost"), ("r0_reading", "6"), ("r0_air_at", "filler"), ("r1_reading", "25 %")]),
        ("leak_down_aircraft", &[("h_supply", "80 psi"), ("r0_held", "72 psi")]),
        (
            "oil_pressure",
            &[
                ("r0_speed", "900"),
                ("r0_pressure", "15 psi"),
                ("r0_idle", "yes"),
                ("r1_speed", "3000 rpm"),
                ("r1_pressure", "310 kPa"),
            ],
        ),
        ("vacuum", &[("h_idle", "17 inHg vac"), ("h_needle", "steady")]),
        ("cylinder_balance", &[("h_idle_speed", "900"), ("r0_drop", "80"), ("r1_drop", "20")]),
        ("noise", &[("r0_words", "heavy knock"), ("r0_place", "bottom"), ("r0_softer", "3, 4"), ("r0_heavy", "yes")]),
        ("borescope", &[("r0_cylinder", "1"), ("r0_place", "12"), ("r0_seen", "vertical_score")]),
        ("plugs", &[("r0_colour", "white"), ("r0_marks", "pepper")]),
        ("filter_debris", &[("r0_kind", "magnetic"), ("r0_amount", "some"), ("h_cut", "cutter")]),
        ("cooling_pressure", &[("h_start", "15 psi"), ("h_end", "15 psi"), ("h_time", "10")]),
        ("blow_by", &[("r0_flow", "2.5 cfm"), ("r0_speed", "6000")]),
        ("other", &[("h_name", "Smoke"), ("h_words", "blue on the over-run")]),
    ];
    for (n, (key, fields)) in sets.iter().enumerate() {
        assert_clean(&bench.get(&format!("/jobs/1/before/{key}")).await.text());
        let answer = bench.post(&format!("/jobs/1/before/{key}"), fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{key}: {}", answer.text());
        let view = bench.state.notebook().job(1).unwrap();
        assert_eq!(view.job.tests.len(), n + 1, "{key}");
        assert_eq!(view.job.tests.last().unwrap().value.key(), *key);
    }
    let view = bench.state.notebook().job(1).unwrap();
    let noise = view
        .job
        .tests
        .iter()
        .find_map(|t| match &t.value {
            TestBefore::Noise(n) => Some(n),
            _ => None,
        })
        .unwrap();
    assert_eq!(noise.heard[0].killed.len(), 2);
    assert!(noise.heard[0].heavy);
    // Percent lost and percent held are never guessed apart.
    let answer = bench.post("/jobs/1/before/leak_down", &[("r0_reading", "6")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("Say what the tester shows"));
    assert_eq!(bench.get("/jobs/1/before").await.status, StatusCode::OK);
}

#[tokio::test]
async fn measured_values_are_shown_before_they_are_written_into_the_build() {
    let bench = Bench::new();
    let job = open(&bench);
    let told = write(
        &bench,
        job,
        Body::BuildStated(BuildStated { which: WhichBuild::Agreed, toml: BUILD.to_owned(), replaces: Vec::new() }),
    );
    let template = record::sheet::shipped().iter().find(|t| t.key == "bores").unwrap();
    let sheet = write(
        &bench,
        job,
        Body::SheetBegun(SheetBegun {
            template: "bores".into(),
            template_text: template.text.clone(),
            title: "Bores".into(),
            counts: [("cylinders".to_owned(), 4)].into(),
            given: [].into(),
            built_for: "endurance".into(),
            material: None,
            conditions: Vec::new(),
            unit: "mm".into(),
            instruments: Vec::new(),
            part_temperature: None,
            state: String::new(),
        }),
    );
    let page = bench.get("/jobs/1/build").await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    assert_clean(&page.text());
    assert!(page.has("of the owner&#39;s words") || page.has("of the owner's words"), "{}", page.text());
    for cylinder in 1..=4 {
        for place in ["top/across", "top/along", "middle/across", "middle/along", "bottom/across", "bottom/along"] {
            let stated = Stated::read("92.752 mm", quantity::Dimension::Length, None).unwrap();
            write(
                &bench,
                job,
                Body::Reading(Reading {
                    sheet,
                    place: format!("cylinder {cylinder}/{place}"),
                    value: Value::Quantity(stated),
                    instrument: None,
                    replaces: vec![],
                    repeats: vec![],
                    remark: String::new(),
                }),
            );
        }
    }
    let page = bench.get("/jobs/1/build/measured").await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    assert_clean(&page.text());
    for part in ["92.5 mm, claimed by the owner", "92.752", "block.bore", "no instrument named"] {
        assert!(page.has(part), "`{part}` is missing in {}", page.text());
    }
    let take = format!("{sheet} block.bore");
    let known = told.to_string();
    let nothing = bench.post("/jobs/1/build/measured", &[("which", "agreed"), ("known", &known)]).await;
    assert_eq!(nothing.status, StatusCode::UNPROCESSABLE_ENTITY);
    let answer = bench.post("/jobs/1/build/measured", &[("which", "agreed"), ("known", &known), ("take", &take)]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let view = bench.state.notebook().job(1).unwrap();
    let build = view.job.build(WhichBuild::Agreed).unwrap();
    assert_eq!(build.value.replaces, vec![told]);
    assert!(
        build.value.toml.contains("92.752")
            && build.value.toml.contains("measured")
            && build.value.toml.contains("# of the owner's words"),
        "{}",
        build.value.toml
    );
    // The page that was open before that is overtaken.
    let answer = bench.post("/jobs/1/build/measured", &[("which", "agreed"), ("known", &known), ("take", &take)]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("changed elsewhere"), "{}", answer.text());
}

#[tokio::test]
async fn a_build_that_cannot_be_read_is_shown_again_with_its_place() {
    let bench = Bench::new();
    open(&bench);
    let broken = BUILD.replace("stroke = \"90.36 mm\"", "stroke = \"90.36 mmm\"");
    let answer = bench.post("/jobs/1/build", &[("which", "agreed"), ("text", &broken)]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_clean(&answer.text());
    assert!(answer.has("Line 10, column") && answer.has("90.36 mmm"), "{}", answer.text());
    assert_eq!(
        bench.post("/jobs/1/build", &[("which", "agreed"), ("text", BUILD)]).await.status,
        StatusCode::SEE_OTHER
    );
    assert!(bench.get("/jobs/1/build").await.has("As agreed"));
}
