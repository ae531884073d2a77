//! A job opened by the form, and what the tests of its pages share.

use crate::bench::{Answer, Bench};
use axum::http::StatusCode;
use notebook::JobView;
use record::Id;
use std::sync::Arc;

/// Opens a job by the form and gives its page's address.
pub(crate) async fn opened(bench: &Bench) -> String {
    let answer = bench
        .post(
            "/jobs/new",
            &[
                ("title", "2.4-litre four, blown"),
                ("purpose", "Hill-climb car"),
                ("owner", "Owner"),
                ("complaint", "Knocks when it is hot, third gear, uphill."),
                ("fuel", "98 RON from the pump"),
                ("permission", "May be opened; 2,000 at most before he is asked."),
                ("goals", "Torque from 3,000\r\nLife\r\n"),
                ("band_from", "3000"),
                ("band_to", "6,200 rpm"),
                ("built_for", "street_boosted"),
            ],
        )
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    answer.header("location").to_owned()
}

pub(crate) fn view(bench: &Bench) -> Arc<JobView> {
    bench.state.notebook().job(1).unwrap()
}

/// Writes by a form and expects to be led on.
pub(crate) async fn written(bench: &Bench, path: &str, fields: &[(&str, &str)]) -> Answer {
    let answer = bench.post(path, fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{path}: {}", words_of(&answer));
    answer
}

/// The words of a page, for a message.
pub(crate) fn words_of(answer: &Answer) -> String {
    let mut out = String::new();
    let mut tag = false;
    for c in answer.text().chars() {
        match c {
            '<' => tag = true,
            '>' => {
                tag = false;
                out.push(' ');
            }
            c if !tag => out.push(c),
            _ => {}
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub(crate) async fn claim(bench: &Bench, words: &str, component: &str, claimed: &str) -> Id {
    written(
        bench,
        "/jobs/1/claims/new",
        &[
            ("words", words),
            ("component", component),
            ("by", "Owner"),
            ("claimed", claimed),
            ("weight", "decides_the_build"),
            ("touches", "Knock and boost"),
        ],
    )
    .await;
    view(bench).job.claims.last().unwrap().id
}

pub(crate) async fn finding(bench: &Bench, claim: Id, words: &str, found: &str) {
    written(
        bench,
        "/jobs/1/findings/new",
        &[
            ("words", words),
            ("component", "Compression"),
            ("claim", &claim.to_string()),
            ("found", found),
            ("how", "Burette 50 ml"),
            ("severity", "minor"),
        ],
    )
    .await;
}
