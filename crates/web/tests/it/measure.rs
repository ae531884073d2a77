//! Measuring sheets through their plain forms and through `POST /entries`: what is read, judged, taken back, chosen,
//! finished; beginning a sheet; the shop's instruments and templates; tests before teardown; values into the build.

use crate::bench::{Answer, Bench, assert_clean, ours};
use axum::body::Body as Sent;
use axum::http::{Method, StatusCode, header};
use notebook::{Draft, Notebook, Writer};
use record::{Body, BuildStated, Id, JobOpened, SheetBegun, Stated, WhichBuild};
use serde_json::{Value, json};

/// An invented job with a sheet of bores begun, four cylinders, window 92.740 to 92.760 mm.
struct Job {
    bench: Bench,
    job: Id,
    sheet: Id,
}

impl Job {
    fn open() -> Self {
        let bench = Bench::new();
        let (job, sheet) = seed(bench.state.notebook());
        Self { bench, job, sheet }
    }

    fn here(&self) -> String {
        format!("/jobs/1/sheets/{}", self.sheet)
    }

    async fn page(&self, place: &str) -> Answer {
        self.bench.get(&format!("{}?place={}", self.here(), place.replace(' ', "%20").replace('/', "%2F"))).await
    }

    /// Types a reading at a place as the plain form does: with what stood there when the page was drawn.
    async fn read(&self, place: &str, typed: &str) -> Answer {
        let page = self.page(place).await.text();
        let mut fields = fields_of(&page, &format!("{}/reading", self.here()));
        fields.push(("typed".to_owned(), typed.to_owned()));
        fields.push(("act".to_owned(), "save".to_owned()));
        self.send("reading", &fields).await
    }

    async fn send(&self, act: &str, fields: &[(String, String)]) -> Answer {
        let fields: Vec<(&str, &str)> = fields.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
        self.bench.post(&format!("{}/{act}", self.here()), &fields).await
    }

    async fn act(&self, act: &str, place: &str, words: &str) -> Answer {
        let page = self.page(place).await.text();
        let mut fields = fields_of(&page, &format!("{}/{act}", self.here()));
        fields.push(("words".to_owned(), words.to_owned()));
        self.send(act, &fields).await
    }

    fn entries(&self) -> usize {
        self.bench.state.notebook().job(1).unwrap().entries.len()
    }

    async fn post(&self, entries: Value) -> Answer {
        post_entries(&self.bench, &json!({ "job": self.job.to_string(), "entries": entries }).to_string()).await
    }

    fn reading(&self, id: Id, place: &str, typed: &str, replaces: &[Id]) -> Value {
        let replaces: Vec<String> = replaces.iter().map(ToString::to_string).collect();
        json!({ "id": id.to_string(), "at": "2026-03-18T09:14:00Z", "kind": "reading",
                "body": { "sheet": self.sheet.to_string(), "place": place, "value": { "typed": typed }, "replaces": replaces } })
    }
}

async fn post_entries(bench: &Bench, body: &str) -> Answer {
    let request = ours(Method::POST, "/entries")
        .header("sec-fetch-site", "same-origin")
        .header(header::CONTENT_TYPE, "application/json")
        .body(Sent::from(body.to_owned()))
        .unwrap();
    bench.send(request).await
}

fn length(text: &str) -> Stated {
    Stated::read(text, quantity::Dimension::Length, Some("mm")).unwrap()
}

fn seed(notebook: &Notebook) -> (Id, Id) {
    let writer = Writer::alone("builder");
    let job = Notebook::new_id();
    let opened =
        JobOpened { title: "2.4-litre four, blown".into(), built_for: "endurance".into(), ..JobOpened::default() };
    notebook.open_job(job, Draft::now(Body::JobOpened(opened)), &writer).unwrap();
    let template = record::sheet::shipped().iter().find(|t| t.key == "bores").unwrap();
    let given = [
        ("bore_least", "92.740"),
        ("bore_aim", "92.750"),
        ("bore_greatest", "92.760"),
        ("piston", "92.695"),
        ("stroke", "90.36"),
    ];
    let register = record::instrument::starter();
    let today = record::instrument::day_of("2026-03-18").unwrap();
    let begun = SheetBegun {
        template: "bores".into(),
        template_text: template.text.clone(),
        title: "Cylinder bores, after honing".into(),
        counts: [("cylinders".to_owned(), 4)].into(),
        given: given.iter().map(|(key, text)| ((*key).to_owned(), length(text))).collect(),
        built_for: "endurance".into(),
        material: Some("2618 forged".into()),
        conditions: Vec::new(),
        unit: "mm".into(),
        instruments: vec![record::instrument::used(register.find("bore_gauge").unwrap(), today)],
        part_temperature: None,
        state: "Torque plate on".into(),
    };
    let draft = Draft::now(Body::SheetBegun(begun));
    notebook.write(job, std::slice::from_ref(&draft), &writer).unwrap();
    (job, draft.id)
}

/// Hidden fields of the form with this action, as a browser would send them.
fn fields_of(page: &str, action: &str) -> Vec<(String, String)> {
    let at = page.find(&format!("action=\"{action}\"")).unwrap_or_else(|| panic!("no form {action} in {page}"));
    let form = &page[at..at + page[at..].find("</form>").unwrap()];
    form.split("<input type=\"hidden\" ")
        .skip(1)
        .map(|input| {
            let value = |name: &str| {
                let from = input.find(&format!("{name}=\"")).unwrap() + name.len() + 2;
                input[from..].split('"').next().unwrap().to_owned()
            };
            (value("name"), value("value"))
        })
        .collect()
}

#[tokio::test]
async fn a_sheet_is_filled_by_plain_forms_and_leads_on() {
    let job = Job::open();
    let page = job.bench.get(&job.here()).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    assert_clean(&page.text());
    for part in ["0 of 24", "Cylinder 1, top, across", "data-lo=\"92.74\" data-hi=\"92.76\"", "data-prefix=\"92.7\""] {
        assert!(page.has(part), "`{part}` is missing in {}", page.text());
    }
    let answer = job.read("cylinder 1/top/across", "92.752").await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    assert!(answer.header("location").ends_with("place=cylinder%201%2Ftop%2Falong"), "{}", answer.header("location"));
    // Out of the window: the page stays at the place and asks.
    for (place, typed) in [("cylinder 1/top/along", "92.751"), ("cylinder 1/middle/across", "92.752")] {
        job.read(place, typed).await;
    }
    let answer = job.read("cylinder 1/middle/along", "92.771").await;
    assert!(answer.header("location").ends_with("middle%2Falong"), "{}", answer.header("location"));
    let page = job.page("cylinder 1/middle/along").await;
    for part in [
        "4 of 24",
        "0.011 over",
        "The other three in this bore read 92.751 to 92.752.",
        "Measure again",
        "data-verdict=\"outside\"",
    ] {
        assert!(page.has(part), "`{part}` is missing in {}", page.text());
    }
    // Read again: the new one takes the place of the old one, which stays in the record.
    let answer = job.read("cylinder 1/middle/along", "92.753 mm").await;
    assert!(answer.header("location").ends_with("bottom%2Facross"), "{}", answer.header("location"));
    let view = job.bench.state.notebook().job(1).unwrap();
    let sheet = view.job.sheet(job.sheet).unwrap();
    assert_eq!(sheet.readings["cylinder 1/middle/along"].len(), 2);
    assert!(view.job.conflicts.is_empty());
}

#[tokio::test]
async fn what_cannot_be_read_as_a_number_is_asked_about_and_kept_in_the_field() {
    let job = Job::open();
    let before = job.entries();
    for typed in ["", "ninety", "92.75 kg", "<b>"] {
        let answer = job.read("cylinder 1/top/across", typed).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{typed}: {}", answer.text());
        assert!(answer.has("aria-invalid=\"true\""), "{typed}");
        assert!(!answer.has("value=\"<b>"), "{typed}");
    }
    assert!(job.read("cylinder 1/top/across", "ninety").await.has("value=\"ninety\""));
    // A place that the sheet does not have comes from no page of ours; it is refused all the same.
    let fields = [("place".to_owned(), "cylinder 9/top/across".to_owned()), ("typed".to_owned(), "92.75".to_owned())];
    let answer = job.send("reading", &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(job.entries(), before);
    // An inch reading is taken in its own unit.
    job.read("cylinder 1/top/across", "3.6516 in").await;
    assert!(job.page("cylinder 1/top/across").await.has("3.6516 in"));
}

#[tokio::test]
async fn a_form_sent_twice_counts_once() {
    let job = Job::open();
    let page = job.page("cylinder 1/top/across").await.text();
    let mut fields = fields_of(&page, &format!("{}/reading", job.here()));
    fields.push(("typed".to_owned(), "92.752".to_owned()));
    let before = job.entries();
    assert_eq!(job.send("reading", &fields).await.status, StatusCode::SEE_OTHER);
    assert_eq!(job.send("reading", &fields).await.status, StatusCode::SEE_OTHER);
    assert_eq!(job.entries(), before + 1);
}

#[tokio::test]
async fn a_value_outside_is_kept_with_a_reason_asked_about_or_taken_back() {
    let job = Job::open();
    let place = "cylinder 2/top/across";
    job.read(place, "92.752").await;
    job.read(place, "92.790").await;
    let answer = job.act("keep", place, "").await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("Write why it is kept."));
    assert_eq!(job.act("keep", place, "sleeve is ordered").await.status, StatusCode::SEE_OTHER);
    assert!(job.page(place).await.has("Kept: sleeve is ordered."));
    assert_eq!(job.act("ask", place, "Is this bore to be sleeved?").await.status, StatusCode::SEE_OTHER);
    let view = job.bench.state.notebook().job(1).unwrap();
    let asked = &view.job.questions[0].question.value;
    assert_eq!((asked.to.as_str(), asked.place.as_str(), asked.about.len()), ("builder", place, 2));
    // Back: what stood before stands again; then nothing stands.
    assert_eq!(job.act("back", place, "").await.status, StatusCode::SEE_OTHER);
    let view = job.bench.state.notebook().job(1).unwrap();
    let sheet = view.job.sheet(job.sheet).unwrap();
    assert_eq!(sheet.readings[place].len(), 3, "taking back adds a reading");
    assert!(job.page(place).await.has("data-number=\"92.752\""));
    let other = "cylinder 2/top/along";
    job.read(other, "92.700").await;
    job.act("back", other, "").await;
    let view = job.bench.state.notebook().job(1).unwrap();
    assert!(view.job.sheet(job.sheet).unwrap().reading(other).is_none());
    assert!(view.entries.iter().any(|e| matches!(e.body, Body::Struck(_))), "the struck reading stays in the record");
}

#[tokio::test]
async fn two_readings_made_at_once_are_shown_and_settled_by_choosing() {
    let job = Job::open();
    let place = "cylinder 3/top/across";
    let (one, two) = (Notebook::new_id(), Notebook::new_id());
    // Two tablets that knew nothing of each other.
    assert_eq!(job.post(json!([job.reading(one, place, "92.751 mm", &[])])).await.status, StatusCode::OK);
    assert_eq!(job.post(json!([job.reading(two, place, "92.754 mm", &[])])).await.status, StatusCode::OK);
    let page = job.page(place).await;
    for part in ["two readings that disagree", "Take 92.751 mm", "Take 92.754 mm", "Two readings in one place"] {
        assert!(page.has(part), "`{part}` is missing in {}", page.text());
    }
    let mut fields = fields_of(&page.text(), &format!("{}/reading", job.here()));
    fields.push(("typed".to_owned(), "92.751 mm".to_owned()));
    job.send("reading", &fields).await;
    let view = job.bench.state.notebook().job(1).unwrap();
    assert!(view.job.conflicts.is_empty());
    assert_eq!(view.job.sheet(job.sheet).unwrap().readings[place].len(), 3);
}

#[tokio::test]
async fn two_readings_can_count_together() {
    let job = Job::open();
    let place = "cylinder 3/top/across";
    job.post(json!([job.reading(Notebook::new_id(), place, "92.751 mm", &[])])).await;
    job.post(json!([job.reading(Notebook::new_id(), place, "92.754 mm", &[])])).await;
    assert_eq!(job.act("together", place, "").await.status, StatusCode::SEE_OTHER);
    let page = job.page(place).await;
    assert!(page.has("Mean of two readings.") && page.has("data-number=\"92.7525\""), "{}", page.text());
    // A third one that repeats both.
    let mut fields = fields_of(&page.text(), &format!("{}/reading", job.here()));
    fields.extend([("typed".to_owned(), "92.755".to_owned()), ("act".to_owned(), "repeat".to_owned())]);
    job.send("reading", &fields).await;
    assert!(job.page(place).await.has("Mean of three readings."));
    assert!(job.bench.state.notebook().job(1).unwrap().job.conflicts.is_empty());
}

#[tokio::test]
async fn a_sheet_is_finished_and_read_again() {
    let job = Job::open();
    job.read("cylinder 1/top/across", "92.752").await;
    let page = job.bench.get(&job.here()).await;
    assert!(page.has("23 places are still to be read"));
    let mut fields = fields_of(&page.text(), &format!("{}/finish", job.here()));
    fields.push(("remark".to_owned(), "the rest after lunch".to_owned()));
    assert_eq!(job.send("finish", &fields).await.status, StatusCode::SEE_OTHER);
    assert!(job.bench.get(&job.here()).await.has("Finished, page"));
    assert!(job.bench.get("/jobs/1/sheets").await.has("finished by page"));
    job.read("cylinder 1/top/along", "92.753").await;
    assert!(job.bench.get(&job.here()).await.has("sign it again"));
}

#[tokio::test]
async fn entries_are_written_once_all_or_none_and_refusals_name_the_entry() {
    let job = Job::open();
    let before = job.entries();
    let ids: Vec<Id> = (0..3).map(|_| Notebook::new_id()).collect();
    let good = json!([
        job.reading(ids[0], "cylinder 1/top/across", "92.752 mm", &[]),
        job.reading(ids[1], "cylinder 1/top/along", "92.751", &[])
    ]);
    for _ in 0..3 {
        let answer = job.post(good.clone()).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
        let said: Value = serde_json::from_str(&answer.text()).unwrap();
        assert_eq!(said["written"][0]["id"], ids[0].to_string());
        assert!(said["written"][1]["received"].as_str().unwrap().starts_with("20"));
    }
    assert_eq!(job.entries(), before + 2);
    let refused = |answer: Answer, status: StatusCode, entry: u64, words: &str| {
        assert_eq!(answer.status, status, "{}", answer.text());
        let said: Value = serde_json::from_str(&answer.text()).unwrap();
        assert_eq!(said["entry"], entry, "{said}");
        assert!(said["error"].as_str().unwrap().contains(words), "{said}");
    };
    // The second of two cannot be read: nothing of it is written.
    let mixed = json!([
        job.reading(ids[2], "cylinder 2/top/across", "92.752", &[]),
        job.reading(Notebook::new_id(), "cylinder 2/top/along", "ninety", &[])
    ]);
    refused(job.post(mixed).await, StatusCode::UNPROCESSABLE_ENTITY, 2, "ninety");
    assert_eq!(job.entries(), before + 2);
    let stranger = json!([job.reading(ids[2], "cylinder 9/top/across", "92.752", &[])]);
    refused(job.post(stranger).await, StatusCode::UNPROCESSABLE_ENTITY, 1, "no place");
    // The same name with other content.
    let other = json!([job.reading(ids[0], "cylinder 1/top/across", "92.759 mm", &[])]);
    refused(job.post(other).await, StatusCode::CONFLICT, 1, "another entry");
    // A number that does not say what its text says.
    let mut lie = job.reading(Notebook::new_id(), "cylinder 2/top/across", "92.752 mm", &[]);
    lie["body"]["value"] =
        json!({ "quantity": { "text": "92.752 mm", "dimension": "length", "si": 0.0927, "step_si": 1e-6 } });
    refused(job.post(json!([lie])).await, StatusCode::UNPROCESSABLE_ENTITY, 1, "not the same");
    let mut ahead = job.reading(Notebook::new_id(), "cylinder 2/top/across", "92.752 mm", &[]);
    ahead["at"] = json!("2099-01-01T00:00:00Z");
    refused(job.post(json!([ahead])).await, StatusCode::UNPROCESSABLE_ENTITY, 1, "clock");
    let nobody = json!({ "job": Notebook::new_id().to_string(), "entries": [job.reading(ids[2], "cylinder 1/top/across", "1", &[])] });
    assert!(post_entries(&job.bench, &nobody.to_string()).await.status.is_client_error());
    for bad in ["", "{", "[]", "{\"job\":\"x\",\"entries\":[]}", "{\"job\":1}"] {
        let answer = post_entries(&job.bench, bad).await;
        assert_eq!(answer.status, StatusCode::BAD_REQUEST, "{bad}");
        assert!(answer.text().starts_with('{'), "the answer is JSON: {}", answer.text());
    }
    assert_eq!(job.entries(), before + 2);
}

#[tokio::test]
async fn a_sheet_is_begun_with_what_the_build_and_other_sheets_know() {
    let job = Job::open();
    let toml = "plateau_build = 2\n[engine]\nname = \"invented four\"\nbuilt_for = \"endurance\"\n[block]\nlayout = \"inline\"\ncylinders = 4\nbore = \"92.75 mm\"\nstroke = \"90.36 mm\"\n";
    let build = BuildStated { which: WhichBuild::Agreed, toml: toml.to_owned(), replaces: Vec::new() };
    let writer = Writer::alone("builder");
    job.bench.state.notebook().write(job.job, &[Draft::now(Body::BuildStated(build))], &writer).unwrap();
    let list = job.bench.get("/jobs/1/sheets/new").await;
    assert_clean(&list.text());
    assert_eq!(list.text().matches("?template=").count(), record::sheet::shipped().len());
    for template in record::sheet::shipped() {
        let form = job.bench.get(&format!("/jobs/1/sheets/new?template={}", template.key)).await;
        assert_eq!(form.status, StatusCode::OK, "{}", template.key);
        assert_clean(&form.text());
    }
    let form = job.bench.get("/jobs/1/sheets/new?template=bores").await;
    assert!(form.has("value=\"90.36") && form.has("from the build"), "{}", form.text());
    let mut fields = vec![
        ("template", "bores"),
        ("title", ""),
        ("unit", "mm"),
        ("count_cylinders", "40"),
        ("built_for", "endurance"),
        ("given_piston", "wide"),
    ];
    let answer = job.bench.post("/jobs/1/sheets/new", &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    for part in ["Write what is measured", "A whole number from 1 to 16", "value=\"wide\""] {
        assert!(answer.has(part), "`{part}` is missing in {}", answer.text());
    }
    fields = vec![
        ("template", "bores"),
        ("title", "Bores, second look"),
        ("unit", "mm"),
        ("count_cylinders", "6"),
        ("built_for", "drag"),
        ("given_bore_least", "92.740"),
        ("given_bore_greatest", "92.760"),
        ("given_piston/cylinder 2", "92.650"),
        ("instrument_0", "bore_gauge"),
        ("set_on", "92.750 ring"),
        ("temperature", "20.1"),
    ];
    let answer = job.bench.post("/jobs/1/sheets/new", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let sheet = job.bench.get(answer.header("location")).await;
    for part in ["0 of 36", "set on 92.750 ring", "20.1 \u{b0}C"] {
        assert!(sheet.has(part), "`{part}` is missing");
    }
}

/// Every template that comes with the program can be begun as usual, drawn, and read in at its first place.
#[tokio::test]
async fn every_template_makes_a_page() {
    let job = Job::open();
    for template in record::sheet::shipped() {
        let unit = template.units.first().map_or("", String::as_str);
        let counts: Vec<(String, String)> =
            template.counts.iter().map(|c| (format!("count_{}", c.key), c.usual.to_string())).collect();
        let mut fields = vec![
            ("template", template.key.as_str()),
            ("title", template.title.as_str()),
            ("unit", unit),
            ("built_for", "drag"),
        ];
        fields.extend(counts.iter().map(|(k, v)| (k.as_str(), v.as_str())));
        let answer = job.bench.post("/jobs/1/sheets/new", &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}: {}", template.key, answer.text());
        let here = answer.header("location").to_owned();
        let page = job.bench.get(&here).await;
        assert_eq!(page.status, StatusCode::OK, "{}: {}", template.key, page.text());
        assert_clean(&page.text());
        let text = page.text();
        let at = text.find("data-order=\"0\"").unwrap_or_else(|| panic!("{}: no first place", template.key));
        assert!(text[at..].contains("data-state") || text[..at].contains("data-state=\"empty\""), "{}", template.key);
        let mut fields = fields_of(&text, &format!("{here}/reading"));
        fields.push(("typed".to_owned(), "2.5".to_owned()));
        let sent: Vec<(&str, &str)> = fields.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
        let answer = job.bench.post(&format!("{here}/reading"), &sent).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}: {}", template.key, answer.text());
        let page = job.bench.get(&here).await;
        assert!(page.has("data-state=\"read\""), "{}: {}", template.key, page.text());
    }
}
