//! Photos and files of a job: bringing them in, and looking at all of them.

use super::add;
use super::conflicts;
use super::draw::Draw;
use super::forms::finding::subjects;
use super::forms::shorten;
use super::job::plural;
use super::sent::{Errors, Sent};
use super::shared::{OfJob, again, page, to, write};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{count_capital, day_and_clock};
use axum::extract::{Query, State};
use axum::response::Response;
use maud::{Markup, html};
use notebook::{Draft, JobView};
use record::{Body, EvidenceFile, Id};

/// The page.
pub(crate) async fn list(
    State(state): State<AppState>,
    prefs: Prefs,
    OfJob(view): OfJob,
    Query(asked): Query<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let mut sent = Sent::default();
    for (name, value) in asked.into_iter().filter(|(name, _)| name == "about") {
        sent.put(&name, value);
    }
    Ok(shown(&state, &prefs, &view, &sent, &Errors::default()))
}

/// Keeps what was sent and writes an entry for each file.
pub(crate) async fn bring(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    OfJob(view): OfJob,
    sent: Sent,
) -> Result<Response, Fault> {
    let mut errors = Errors::default();
    if sent.files.is_empty() {
        errors.on("files", "Choose a photo or a file, or take a photo.");
    }
    let about = sent.ids("about");
    let files = if errors.none() { keep(&state, &sent, about, &mut errors).await? } else { Vec::new() };
    if errors.none() {
        let caption = sent.text("caption");
        let drafts: Vec<Draft> = files
            .into_iter()
            .map(|file| EvidenceFile { caption: caption.clone(), ..file })
            // The same bytes about the same thing are there already: sent twice.
            .filter(|file| {
                !view.job.files.iter().any(|f| {
                    f.value.sha256 == file.sha256 && f.value.about == file.about && f.value.caption == file.caption
                })
            })
            .map(|file| Draft::now(Body::EvidenceFile(file)))
            .collect();
        if drafts.is_empty() || write(&state, view.id, drafts, &who, &mut errors).await? {
            return Ok(to(&format!("/jobs/{}/photos", view.row.number)));
        }
    }
    Ok(again(shown(&state, &prefs, &view, &sent, &errors)))
}

/// Keeps the files of a form byte for byte and says what they are. One that cannot be taken stops all of them.
pub(crate) async fn keep(
    state: &AppState,
    sent: &Sent,
    about: Vec<Id>,
    errors: &mut Errors,
) -> Result<Vec<EvidenceFile>, Fault> {
    if sent.files.is_empty() {
        return Ok(Vec::new());
    }
    let (notebook, files) = (state.notebook().clone(), sent.files.clone());
    let kept = tokio::task::spawn_blocking(move || {
        let kept =
            files.iter().map(|file| notebook.keep_evidence(&file.name, &file.bytes)).collect::<Result<Vec<_>, _>>()?;
        for file in kept.iter().filter(|f| has_picture(&f.media_type)) {
            // Made now, so that the page with it is quick. What fails here is said where the picture is asked for.
            let _ = notebook.picture(&file.sha256, notebook::PictureSize::Thumb);
        }
        Ok::<_, notebook::NotebookError>(kept)
    })
    .await?;
    match kept {
        Ok(kept) => Ok(kept.into_iter().map(|file| EvidenceFile { about: about.clone(), ..file }).collect()),
        Err(error @ notebook::NotebookError::Store(_)) => Err(error.into()),
        Err(error) => {
            errors.on("files", super::value::sentence(&error.to_string()));
            Ok(Vec::new())
        }
    }
}

/// The choosers of a form: from the camera, or from the disk. Files that came before have to be chosen once more.
pub(crate) fn chooser(draw: Draw<'_>, legend: &str) -> Markup {
    let again = !draw.sent.files.is_empty();
    html! {
        fieldset.ask.choosers {
            legend { (legend) }
            p.hint { "JPEG, PNG, WebP, HEIC or PDF, kept byte for byte. Where a photo was taken is never shown." }
            (draw.fault("files"))
            @if again { p.fault { "A browser does not send files twice by itself: choose them again." } }
            div.pick {
                label.filebox { span { "Take a photo" } input type="file" name="files" accept="image/*" capture="environment"; }
                label.filebox { span { "Choose files" } input type="file" name="files" multiple accept="image/*,.heic,.heif,application/pdf"; }
            }
        }
    }
}

fn shown(state: &AppState, prefs: &Prefs, view: &JobView, sent: &Sent, errors: &Errors) -> Response {
    let number = view.row.number;
    let address = format!("/jobs/{number}/photos");
    let files = &view.job.files;
    let photos = files.iter().filter(|f| f.value.media_type.starts_with("image/")).count();
    let loose = files.iter().filter(|f| f.value.about.is_empty() && !used(view, f.id)).count();
    let draw = Draw { sent, errors };
    let body = html! {
        div.head {
            h1 { "Photos and files" }
            p.finding {
                @if files.is_empty() { "Nothing is kept yet. A number legible in a photo convinces more than any word." }
                @else {
                    (count_capital(photos)) " " (plural(photos, "photo", "photos")) ", " (crate::words::count(files.len() - photos)) " other " (plural(files.len() - photos, "file", "files")) ", kept byte for byte."
                    @if loose > 0 { " " (count_capital(loose)) " " (plural(loose, "shows", "show")) " nothing in particular yet." }
                }
            }
        }
        (conflicts::banner(view))
        form.entry.bring-photos #bring-photos method="post" action=(address) enctype="multipart/form-data" {
            (draw.trouble())
            (chooser(draw, "Bring in"))
            details.fold.small-fold #what-they-show open[!sent.ids("about").is_empty() || !errors.none()] {
                summary { "What they show" }
                div { (draw.line("caption", "What is to be seen", "")) (draw.ticks("about", "They show", "", &subjects(view))) }
            }
            (add::send("Keep them", None, &format!("/jobs/{number}")))
        }
        @if files.is_empty() { div.empty.hone { p { "No photo yet" } } }
        @else {
            ol.gallery { @for kept in files.iter().rev() {
                @let it = &kept.value;
                li {
                    a href={(address) "/" (kept.id)} {
                        (picture(it, "thumb", ""))
                        span.caption { (shorten(&caption_of(it), 80)) }
                    }
                    @if view.job.drawings.contains_key(&kept.id) { span.small.quiet { "drawn on" } }
                    p.small.faint { @if let Some(taken) = &it.taken { "by the camera\u{2019}s clock " (camera_time(taken)) } @else { (kept.author) ", " (day_and_clock(&kept.at.to_string())) } }
                }
            } }
        }
    };
    page(state, prefs, view, "Photos and files", &address, body)
}

/// Whether anything in the job points at a file.
fn used(view: &JobView, id: Id) -> bool {
    let job = &view.job;
    job.findings.iter().any(|f| f.value.shown_by.contains(&id))
        || job.parts.iter().any(|p| p.value.shown_by.contains(&id))
        || job.claims.iter().any(|c| c.rests_on.iter().any(|s| s.file == Some(id)))
        || job.decisions.iter().any(|d| d.value.owners_yes.as_ref().is_some_and(|y| y.file == Some(id)))
}

/// Caption, or else the name.
pub(crate) fn caption_of(file: &EvidenceFile) -> String {
    if file.caption.is_empty() { file.name.clone() } else { file.caption.clone() }
}

/// "6 Mar 2026, 10:12" out of "2026-03-06T10:12:44"; left as it is where it is no time.
pub(crate) fn camera_time(taken: &str) -> String {
    let plain = taken.get(..19).unwrap_or(taken);
    plain
        .parse::<jiff::civil::DateTime>()
        .map_or_else(|_| taken.to_owned(), |t| t.strftime("%-d %b %Y, %H:%M").to_string())
}

/// A file as a picture of a size ("thumb", "view"), or as a sheet of paper with its kind.
pub(crate) fn picture(file: &EvidenceFile, size: &str, alt: &str) -> Markup {
    let (width, height) = match (size, file.pixels) {
        ("thumb", _) | (_, None) => (None, None),
        (_, Some((w, h))) => (Some(w), Some(h)),
    };
    html! {
        @if has_picture(&file.media_type) {
            img src={"/files/" (file.sha256) "/" (size)} alt=(alt) width=[width] height=[height] loading="lazy" decoding="async";
        } @else {
            span.paper role="img" aria-label=(alt) { (kind_word(&file.media_type)) }
        }
    }
}

/// Whether a picture can be made of it.
pub(crate) fn has_picture(media_type: &str) -> bool {
    media_type.starts_with("image/")
}

/// "PDF".
pub(crate) fn kind_word(media_type: &str) -> &'static str {
    if media_type == "application/pdf" { "PDF" } else { "File" }
}

/// Thumbnails of files with a link to each, at most `most`; the rest as "+n".
pub(crate) fn thumbs(view: &JobView, files: &[Id], most: usize) -> Markup {
    let number = view.row.number;
    html! {
        @for kept in files.iter().take(most).filter_map(|id| view.job.file(*id)) {
            a.thumb href={"/jobs/" (number) "/photos/" (kept.id)} { (picture(&kept.value, "thumb", &caption_of(&kept.value))) }
        }
        @if files.len() > most { span.more { "+" (files.len() - most) } }
    }
}

/// The thumbnail that goes with a line of the notebook: the photo itself, or the first that shows the entry.
pub(crate) fn thumb_of_line(view: &JobView, id: Id) -> Markup {
    let job = &view.job;
    let file = job.file(id).or_else(|| {
        let shown = job.finding(id).map(|f| f.value.shown_by.clone()).unwrap_or_default();
        job.files.iter().find(|f| f.value.about.contains(&id) || shown.contains(&f.id))
    });
    html! { @if let Some(kept) = file { span.thumb { (picture(&kept.value, "thumb", "")) } } }
}
