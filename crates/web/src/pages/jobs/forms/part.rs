//! The form of a part that was fitted.

use super::super::draw::Draw;
use super::super::sent::{Errors, Sent};
use super::{choices_of, components, files};
use maud::{Markup, html};
use notebook::JobView;
use record::FittedPart;

/// The fields. Photos can be sent along with it.
pub(crate) fn fields(draw: Draw<'_>, view: &JobView) -> Markup {
    let mut promises = vec![(String::new(), "no promise".to_owned())];
    promises.extend(choices_of(
        view.job.claims.iter().filter(|c| c.ours).map(|c| (c.id, format!("{}: {}", c.component, c.words))),
    ));
    html! {
        (draw.trouble())
        (components())
        div.formcols {
            div.fields {
                (draw.line_of("component", "Part of the engine", "Pistons", "components"))
                (draw.line("position", "Where", "Cylinders 1 to 4"))
                (draw.pick("promise", "The promise that it keeps", "", &promises))
            }
            (draw.area("words", "What it is", "Forged, 92.75 mm, 8.6 : 1", 2))
            div.fields {
                (draw.line("maker", "Maker", ""))
                (draw.line("part_number", "Part number", "As stamped or printed"))
                (draw.line("serial", "Serial number", ""))
                (draw.line("lot", "Lot", ""))
            }
            (draw.ticks("shown_by", "Shown by photos that are there", "", &files(&view.job)))
        }
    }
}

/// A part as fields.
pub(crate) fn fill(it: &FittedPart) -> Sent {
    let mut sent = Sent::default();
    for (name, value) in [
        ("component", &it.component),
        ("position", &it.position),
        ("words", &it.words),
        ("maker", &it.maker),
        ("part_number", &it.part_number),
        ("serial", &it.serial),
        ("lot", &it.lot),
    ] {
        sent.put(name, value.clone());
    }
    sent.put("promise", it.promise.map(|p| p.to_string()).unwrap_or_default());
    for id in &it.shown_by {
        sent.put("shown_by", id.to_string());
    }
    sent
}

/// The fields as a part.
pub(crate) fn read(sent: &Sent, errors: &mut Errors) -> Option<FittedPart> {
    errors.need(sent, "component", "Name the part of the engine.");
    errors.need(sent, "words", "Write what was fitted.");
    if !errors.none() {
        return None;
    }
    Some(FittedPart {
        component: sent.text("component"),
        position: sent.text("position"),
        words: sent.text("words"),
        maker: sent.text("maker"),
        part_number: sent.text("part_number"),
        serial: sent.text("serial"),
        lot: sent.text("lot"),
        promise: sent.id("promise"),
        shown_by: sent.ids("shown_by"),
    })
}
