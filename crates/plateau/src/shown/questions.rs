//! Open questions, each with the flag that answers it.

use takein::Question;

/// The questions in the form of our messages.
pub(crate) fn text(questions: &[Question]) -> String {
    let mut text = match questions.len() {
        1 => "One question is open:\n".to_owned(),
        n => format!("{n} questions are open:\n"),
    };
    for question in questions {
        text += &format!("\n{}\n", question.message().trim_end());
    }
    text
}

/// Questions whose channels are not used as long as they are open.
pub(crate) fn may_stay_open(questions: &[Question]) -> String {
    let messages: Vec<String> = questions.iter().map(|q| q.message().trim_end().to_owned() + "\n").collect();
    messages.join("\n")
}
