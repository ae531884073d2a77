//! As claimed and wrong: just received, a tow truck with an engine that is all that was said. Invented.

use super::{Writer, degrees, ratio, word};
use serde_json::json;

pub(crate) fn job(folder: &str) -> Writer {
    let mut w = Writer::new(folder, 47, "2026-04-07T13:00:00Z");
    w.write(
        "2026-04-07T13:10:00Z",
        "office",
        "job_opened",
        json!({
            "title": "408 in³ stroker, tow truck",
            "purpose": "9,000 lb trailer",
            "built_for": "street",
            "complaint": "Five hundred horsepower, and it cannot pull the trailer up the grade in third.",
            "owner": "Owner",
            "fuel": "87 pump",
            "vehicle": "Tow truck, 3.73 final drive, stall 2,100 rpm",
            "goals": ["Torque at 1,800 to 4,000", "87 pump", "Brakes need vacuum"],
            "permission": "",
            "arrival": "Complete. Dyno sheet of the last shop with it."
        }),
    );
    w.claim("2026-04-07T13:30:00Z", "Power", "500 horsepower.", word("500 hp"), "for_the_record", "");
    w.claim(
        "2026-04-07T13:32:00Z",
        "Compression",
        "10.1 to 1.",
        ratio("10.1", None),
        "decides_the_build",
        "Knock on 87",
    );
    w.claim(
        "2026-04-07T13:34:00Z",
        "Camshaft",
        "244 at fifty.",
        degrees("244", None),
        "decides_the_build",
        "Torque below 3,500",
    );
    w.write("2026-04-08T09:00:00Z", "office", "question", json!({ "words": "How far may we take it apart, and what may it cost?", "to": "owner", "stops_hand_over": false }));
    w
}
