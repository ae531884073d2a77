//! One photo or file: what is to be seen, what it shows, and what is drawn on it. The original stays untouched.

use super::add;
use super::conflicts;
use super::draw::Draw;
use super::entry_words::said;
use super::photos::{camera_time, caption_of, has_picture, kind_word};
use super::sent::{Errors, Sent};
use super::shared::{ENTRY, again, entry_name, id_of, job_of, missing, page, to, write_one};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::day_and_clock;
use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};
use notebook::JobView;
use record::{Body, Drawing, EvidenceFile, Id, Kept, Mark};

/// The page.
pub(crate) async fn show(
    State(state): State<AppState>,
    prefs: Prefs,
    Path((number, id)): Path<(String, String)>,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let id = id_of(&id, &view)?;
    shown(&state, &prefs, &view, id, &Sent::default(), &Errors::default())
}

/// Saves what is drawn: all marks that stand, as one entry that takes the place of the drawings before.
pub(crate) async fn draw(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    Path((number, id)): Path<(String, String)>,
    sent: Sent,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let id = id_of(&id, &view)?;
    let mut errors = Errors::default();
    if let Some(marks) = read_marks(&sent, &mut errors) {
        let body = Body::Drawing(Drawing { on: id, marks, replaces: sent.ids("replaces") });
        if write_one(&state, &view, entry_name(&sent), body, &who, &mut errors).await? {
            return Ok(to(&format!("/jobs/{}/photos/{id}", view.row.number)));
        }
    }
    Ok(again(shown(&state, &prefs, &view, id, &sent, &errors)?))
}

/// The marks of the form: as the drawing script wrote them, without those ticked off, and the one typed by hand.
fn read_marks(sent: &Sent, errors: &mut Errors) -> Option<Vec<Mark>> {
    let text = sent.get("marks");
    let drawn: Vec<Mark> = match serde_json::from_str(if text.is_empty() { "[]" } else { text }) {
        Ok(marks) => marks,
        Err(error) => {
            errors.whole(format!("The marks did not arrive as marks ({error}). Nothing was written."));
            return None;
        }
    };
    let off: Vec<usize> = sent.all("off").filter_map(|n| n.parse().ok()).collect();
    let mut marks: Vec<Mark> =
        drawn.into_iter().enumerate().filter(|(i, _)| !off.contains(i)).map(|(_, m)| m).collect();
    let kind = sent.get("new_kind");
    if !kind.is_empty() {
        let mut share = |name: &str, words: &str| -> f64 {
            match sent.get(name).trim_end_matches('%').trim().parse::<f64>() {
                Ok(percent) if (0.0..=100.0).contains(&percent) => percent / 100.0,
                _ => {
                    errors.on(name, format!("{words}: a number from 0 to 100 is expected, percent of the photo."));
                    0.0
                }
            }
        };
        let at = (share("new_x", "From the left"), share("new_y", "From above"));
        match kind {
            "arrow" => {
                let from = (share("new_x2", "Begins from the left"), share("new_y2", "Begins from above"));
                marks.push(Mark::Arrow { from, to: at });
            }
            "circle" => {
                let radius = share("new_x2", "Radius");
                marks.push(Mark::Circle { at, radius });
            }
            "words" => {
                errors.need(sent, "new_words", "Write the words.");
                marks.push(Mark::Words { at, words: sent.text("new_words") });
            }
            other => errors.on("new_kind", format!("\u{201c}{other}\u{201d} is no mark; arrow, circle and words are.")),
        }
    }
    errors.none().then_some(marks)
}

fn shown(
    state: &AppState,
    prefs: &Prefs,
    view: &JobView,
    id: Id,
    sent: &Sent,
    errors: &Errors,
) -> Result<Response, Fault> {
    let kept = view.job.file(id).ok_or_else(|| missing(view, "that photo"))?;
    let it = &kept.value;
    let number = view.row.number;
    let base = format!("/jobs/{number}/photos");
    let image = has_picture(&it.media_type);
    let drawings: &[Kept<Drawing>] = view.job.drawings.get(&id).map_or(&[], Vec::as_slice);
    let (before, after) = neighbours(view, id);
    let body = html! {
        div.head {
            h1 { @if image { "Photo" } @else { (kind_word(&it.media_type)) } }
            p.finding { (caption_of(it)) }
            div.acts {
                @if let Some(before) = before { a.btn href={(base) "/" (before)} { "Before" } }
                @if let Some(after) = after { a.btn href={(base) "/" (after)} { "Next" } }
                a.btn href={"/files/" (it.sha256) "/original"} download { "Original" }
            }
        }
        (conflicts::banner(view))
        @if image { (picture(view, kept, drawings, sent, errors)) }
        @else { p { a.btn.main href={"/files/" (it.sha256) "/original"} download { "Save " (it.name) } } }
        div.twocol {
            section.sec.heavy {
                h2 { "What it shows" }
                @if it.about.is_empty() { p.quiet { "Nothing in particular yet." } }
                @for about in &it.about { (super::questions::about(view, *about, "")) }
                p.small { a href={"/jobs/" (number) "/notebook/" (id) "?open=correct#correct"} { "Say what it shows, or correct the words" } }
            }
            aside.sec.heavy aria-label="About this file" {
                dl.hangs {
                    dt { "Name" } dd { (it.name) }
                    @if let Some(taken) = &it.taken { dt { "By the camera\u{2019}s clock" } dd { (camera_time(taken)) } }
                    dt { "Brought in" } dd { (kept.author) ", " (day_and_clock(&kept.at.to_string())) }
                    @if let Some((w, h)) = it.pixels { dt { "Pixels" } dd { (w) " \u{d7} " (h) } }
                    dt { "Size" } dd { (size_words(it.size)) }
                    dt { "SHA-256" } dd.hash { (it.sha256) }
                }
                @if image { p.small.faint { "The original holds what the camera wrote into it, which may be the place; it is for the shop. What these pages show does not." } }
            }
        }
        @if drawings.len() > 1 {
            section.sec { h2 { "Drawings that disagree" } p.beyond { "Two drawings were made without knowing of each other. Both are shown; saving one takes the place of both." }
                @for drawing in drawings { p.small.quiet { (drawing.author) ", " (day_and_clock(&drawing.at.to_string())) } (said(&Body::Drawing(drawing.value.clone()), view)) } }
        }
    };
    let title = if image { "Photo" } else { "File" };
    Ok(page(state, prefs, view, title, &format!("{base}/{id}"), body))
}

/// The photos before and after, in the order of the gallery.
fn neighbours(view: &JobView, id: Id) -> (Option<Id>, Option<Id>) {
    let ids: Vec<Id> = view.job.files.iter().rev().map(|f| f.id).collect();
    let at = ids.iter().position(|f| *f == id).unwrap_or(0);
    (at.checked_sub(1).and_then(|i| ids.get(i).copied()), ids.get(at + 1).copied())
}

fn size_words(size: u64) -> String {
    if size >= 1_000_000 { format!("{:.1} MB", size as f64 / 1e6) } else { format!("{} kB", size.div_ceil(1000)) }
}

/// The photo with its marks, and the form that changes them. The script draws on it; the form works without.
fn picture(
    view: &JobView,
    kept: &Kept<EvidenceFile>,
    drawings: &[Kept<Drawing>],
    sent: &Sent,
    errors: &Errors,
) -> Markup {
    let it = &kept.value;
    let (w, h) = it.pixels.unwrap_or((1200, 900));
    let marks: Vec<Mark> = match serde_json::from_str(sent.get("marks")) {
        Ok(marks) => marks,
        Err(_) => drawings.iter().flat_map(|d| d.value.marks.clone()).collect(),
    };
    let json = serde_json::to_string(&marks).unwrap_or_else(|_| "[]".to_owned());
    let draw = Draw { sent, errors };
    html! {
        draw-photo data-wide=(w) data-high=(h) {
            div.photo-frame {
                img src={"/files/" (it.sha256) "/view"} width=(w) height=(h) alt=(caption_of(it));
                (overlay(&marks, w, h))
            }
            form.entry #drawing method="post" action={"/jobs/" (view.row.number) "/photos/" (kept.id)} {
                input type="hidden" name=(ENTRY) value=(if errors.none() { add::fresh() } else { entry_name(sent) });
                @for drawing in drawings { input type="hidden" name="replaces" value=(drawing.id); }
                input type="hidden" name="marks" value=(json);
                (draw.trouble())
                div.drawbar hidden {
                    p #draw-help.small.quiet { "Choose a mark, then press on the photo and pull. With the keyboard: arrow keys move the cross, Shift moves it further, Enter sets a point, Delete takes the last mark back." }
                }
                details.fold.small-fold.by-hand #by-hand {
                    summary { "Marks in numbers " span { (marks.len()) } }
                    div {
                        @for (i, mark) in marks.iter().enumerate() { label.tickbox { input type="checkbox" name="off" value=(i); "Take away: " (mark_words(mark)) } }
                        (draw.one_of("new_kind", "Add a mark", "Places in percent of the photo, from the left and from above", &[("", "None", ""), ("arrow", "Arrow", ""), ("circle", "Circle", ""), ("words", "Words", "")]))
                        div.fields {
                            (draw.line("new_x", "Points at, from the left", "%"))
                            (draw.line("new_y", "Points at, from above", "%"))
                            (draw.line("new_x2", "Arrow begins from the left; radius of a circle", "%"))
                            (draw.line("new_y2", "Arrow begins from above", "%"))
                            (draw.line("new_words", "Words", ""))
                        }
                    }
                }
                p.row.send { button.btn.main type="submit" { "Save what is drawn" } span.small.quiet { "Saved as an entry; the photo stays as it is." } }
            }
        }
    }
}

/// Marks over a photo, in its own pixels.
pub(crate) fn overlay(marks: &[Mark], w: u32, h: u32) -> Markup {
    let (wide, high) = (f64::from(w), f64::from(h));
    let unit = wide.max(high) / 100.0;
    let at = |(x, y): (f64, f64)| (x * wide, y * high);
    html! {
        svg.marks viewBox=(format!("0 0 {w} {h}")) role="img" aria-label=(if marks.is_empty() { "Nothing is drawn on it".to_owned() } else { marks.iter().map(mark_words).collect::<Vec<_>>().join("; ") }) {
            @for mark in marks {
                @match mark {
                    Mark::Arrow { from, to } => {
                        @let d = arrow(at(*from), at(*to), unit);
                        path.under d=(d) stroke-width=(px(unit * 1.1)) {}
                        path.over d=(d) stroke-width=(px(unit * 0.5)) {}
                    },
                    Mark::Circle { at: middle, radius } => {
                        @let (x, y) = at(*middle);
                        circle.under cx=(px(x)) cy=(px(y)) r=(px(radius * wide)) stroke-width=(px(unit * 1.1)) {}
                        circle.over cx=(px(x)) cy=(px(y)) r=(px(radius * wide)) stroke-width=(px(unit * 0.5)) {}
                    },
                    Mark::Words { at: begin, words } => {
                        @let (x, y) = at(*begin);
                        text x=(px(x)) y=(px(y)) font-size=(px(unit * 2.6)) stroke-width=(px(unit * 0.7)) { (words) }
                    },
                }
            }
        }
    }
}

/// Shaft and head of an arrow.
fn arrow(from: (f64, f64), to: (f64, f64), unit: f64) -> String {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let long = dx.hypot(dy).max(1e-9);
    let (ux, uy) = (dx / long, dy / long);
    let head = (2.2 * unit).min(long);
    let wing = |side: f64| (to.0 - head * ux + side * 0.55 * head * uy, to.1 - head * uy - side * 0.55 * head * ux);
    let (a, b) = (wing(1.0), wing(-1.0));
    format!(
        "M{} {}L{} {}M{} {}L{} {}L{} {}",
        px(from.0),
        px(from.1),
        px(to.0),
        px(to.1),
        px(a.0),
        px(a.1),
        px(to.0),
        px(to.1),
        px(b.0),
        px(b.1)
    )
}

/// A mark in words: "arrow to 42 % from the left, 30 % from above".
fn mark_words(mark: &Mark) -> String {
    let place = |(x, y): (f64, f64)| format!("{:.0} % from the left, {:.0} % from above", x * 100.0, y * 100.0);
    match mark {
        Mark::Arrow { to, .. } => format!("arrow to {}", place(*to)),
        Mark::Circle { at, .. } => format!("circle round {}", place(*at)),
        Mark::Words { at, words } => format!("\u{201c}{words}\u{201d} at {}", place(*at)),
    }
}

fn px(v: f64) -> String {
    format!("{v:.1}")
}
