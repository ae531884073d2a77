//! What an entry says, one type for each kind of entry.

mod course;
mod evidence;
mod opening;
mod reading;
mod said;
mod talk;

pub use course::{Correction, FittedPart, HandedOver, LimitWaived, RunAttached, StagePassed, Struck};
pub use evidence::{Drawing, EvidenceFile, Finding, Mark, Severity};
pub use opening::{BuildStated, JobOpened, WhichBuild};
pub use reading::{InstrumentUsed, Reading, SheetBegun, SheetFinished};
pub use said::{Claim, Promise, Support, SupportKind, TruthVerdict, VerdictGiven, Weight};
pub use talk::{Answer, Decision, NoteWritten, OwnersYes, Question};

use crate::before::TestBefore;
use serde::{Deserialize, Serialize};

/// What an entry says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", content = "body", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Body {
    /// The engine came in.
    JobOpened(JobOpened),
    /// Somebody said something about the engine.
    Claim(Claim),
    /// A test before teardown.
    TestBefore(TestBefore),
    /// Something was seen or measured.
    Finding(Finding),
    /// A person decided how far a claim or a promise is true.
    VerdictGiven(VerdictGiven),
    /// A photo or another file.
    EvidenceFile(EvidenceFile),
    /// Marks drawn on a photo; the photo itself stays as it is.
    Drawing(Drawing),
    /// One reading on a sheet.
    Reading(Reading),
    /// A measuring sheet was begun.
    SheetBegun(SheetBegun),
    /// A measuring sheet is complete in the eyes of its writer.
    SheetFinished(SheetFinished),
    /// A value outside its limit is kept, with the reason.
    LimitWaived(LimitWaived),
    /// A question to somebody.
    Question(Question),
    /// The answer to a question.
    Answer(Answer),
    /// Something was decided, with or without the owner's yes.
    Decision(Decision),
    /// We said that we would do something.
    Promise(Promise),
    /// A part was fitted.
    FittedPart(FittedPart),
    /// A run on the dyno belongs to this job.
    RunAttached(RunAttached),
    /// The description of the engine, as told, as found or as agreed.
    BuildStated(BuildStated),
    /// An earlier entry says something else now.
    Correction(Box<Correction>),
    /// An earlier entry does not count any more.
    Struck(Struck),
    /// The job went on to the next stage.
    StagePassed(StagePassed),
    /// The engine left.
    HandedOver(HandedOver),
    /// A note in the notebook.
    NoteWritten(NoteWritten),
}

impl Body {
    /// The kind, as it stands in the entry: "claim".
    pub fn kind(&self) -> &'static str {
        match self {
            Self::JobOpened(_) => "job_opened",
            Self::Claim(_) => "claim",
            Self::TestBefore(_) => "test_before",
            Self::Finding(_) => "finding",
            Self::VerdictGiven(_) => "verdict_given",
            Self::EvidenceFile(_) => "evidence_file",
            Self::Drawing(_) => "drawing",
            Self::Reading(_) => "reading",
            Self::SheetBegun(_) => "sheet_begun",
            Self::SheetFinished(_) => "sheet_finished",
            Self::LimitWaived(_) => "limit_waived",
            Self::Question(_) => "question",
            Self::Answer(_) => "answer",
            Self::Decision(_) => "decision",
            Self::Promise(_) => "promise",
            Self::FittedPart(_) => "fitted_part",
            Self::RunAttached(_) => "run_attached",
            Self::BuildStated(_) => "build_stated",
            Self::Correction(_) => "correction",
            Self::Struck(_) => "struck",
            Self::StagePassed(_) => "stage_passed",
            Self::HandedOver(_) => "handed_over",
            Self::NoteWritten(_) => "note_written",
        }
    }
}
