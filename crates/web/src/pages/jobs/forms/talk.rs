//! Forms of questions, answers and notes.

use super::super::draw::Draw;
use super::super::sent::{Errors, Sent};
use maud::{Markup, html};
use record::{Answer, Id, NoteWritten, Question};

/// The fields of a question.
pub(crate) fn question_fields(draw: Draw<'_>) -> Markup {
    html! {
        (draw.trouble())
        (draw.area("words", "The question", "", 3))
        (draw.line_of("to", "Whom it is for", "Builder, owner, operator", "askable"))
        datalist id="askable" { option value="builder" {} option value="owner" {} option value="operator" {} }
        (draw.tick("stops", "The hand-over waits for the answer"))
    }
}

/// A question as fields.
pub(crate) fn fill_question(it: &Question) -> Sent {
    let mut sent = Sent::default();
    sent.put("words", it.words.clone());
    sent.put("to", it.to.clone());
    sent.put("stops", if it.stops_hand_over { "yes" } else { "" });
    sent
}

/// The fields as a question.
pub(crate) fn read_question(sent: &Sent, errors: &mut Errors) -> Option<Question> {
    errors.need(sent, "words", "Write the question.");
    errors.need(sent, "to", "Say whom it is for.");
    if !errors.none() {
        return None;
    }
    Some(Question {
        words: sent.text("words"),
        to: sent.text("to"),
        stops_hand_over: sent.has("stops", "yes"),
        about: sent.ids("about"),
        place: sent.text("place"),
    })
}

/// The fields of an answer.
pub(crate) fn answer_fields(draw: Draw<'_>) -> Markup {
    html! {
        (draw.trouble())
        (draw.area("words", "The answer", "", 2))
        (draw.line("given_by", "Who gave it, if not you", "Owner, by phone"))
    }
}

/// An answer as fields.
pub(crate) fn fill_answer(it: &Answer) -> Sent {
    let mut sent = Sent::default();
    sent.put("words", it.words.clone());
    sent.put("given_by", it.given_by.clone());
    sent
}

/// The fields as an answer.
pub(crate) fn read_answer(sent: &Sent, errors: &mut Errors, to: Id, replaces: Vec<Id>) -> Option<Answer> {
    errors.need(sent, "words", "Write the answer.");
    if !errors.none() {
        return None;
    }
    Some(Answer { to, words: sent.text("words"), given_by: sent.text("given_by"), replaces })
}

/// The field of a note.
pub(crate) fn note_fields(draw: Draw<'_>) -> Markup {
    html! { (draw.trouble()) (draw.area("words", "The note", "", 4)) }
}

/// A note as fields.
pub(crate) fn fill_note(it: &NoteWritten) -> Sent {
    let mut sent = Sent::default();
    sent.put("words", it.words.clone());
    sent
}

/// The fields as a note.
pub(crate) fn read_note(sent: &Sent, errors: &mut Errors) -> Option<NoteWritten> {
    errors.need(sent, "words", "Write the note.");
    if !errors.none() {
        return None;
    }
    Some(NoteWritten { words: sent.text("words"), about: sent.ids("about") })
}
