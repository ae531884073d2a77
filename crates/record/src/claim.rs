//! A claim or promise as it stands, and what the readings suggest about it.

use crate::fold::Kept;
use crate::{Id, Support, TruthVerdict, Value, VerdictGiven, Weight};
use quantity::{Limits, Verdict, verdict};

/// A claim of somebody else's or a promise of ours, with what was found about it.
#[derive(Debug, Clone, PartialEq)]
pub struct ClaimState {
    /// Its entry.
    pub id: Id,
    /// It is a promise of ours.
    pub ours: bool,
    /// Part of the engine.
    pub component: String,
    /// The words as said.
    pub words: String,
    /// What was claimed or promised.
    pub said: Option<Value>,
    /// How far a found value may lie from it, SI.
    pub allowance_si: Option<f64>,
    /// Who said it.
    pub by: String,
    /// What it rests on.
    pub rests_on: Vec<Support>,
    /// How much hangs on it.
    pub weight: Weight,
    /// What depends on it.
    pub touches: String,
    /// Findings about it.
    pub findings: Vec<Id>,
    /// Parts fitted for it.
    pub parts: Vec<Id>,
    /// Photos and files about it, directly or through its findings and parts.
    pub files: Vec<Id>,
    /// The verdicts that stand; more than one is a conflict.
    pub verdicts: Vec<Kept<VerdictGiven>>,
    /// When it was said, by its entry.
    pub at: jiff::Timestamp,
}

/// How a claim or promise stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standing {
    /// Nobody has judged it.
    Open,
    /// A person judged it.
    Judged(TruthVerdict),
    /// Two persons judged it without knowing of each other, and not alike.
    Disputed,
}

impl ClaimState {
    /// How it stands.
    pub fn standing(&self) -> Standing {
        let mut verdicts = self.verdicts.iter().map(|v| v.value.verdict);
        match verdicts.next() {
            None => Standing::Open,
            Some(first) if verdicts.all(|other| other == first) => Standing::Judged(first),
            Some(_) => Standing::Disputed,
        }
    }

    /// What proves a promise: a part with a number or a photo, a finding with a value or a photo, a photo. Empty: not proved.
    ///
    /// A verdict other than "true" leaves it unproved whatever is there.
    pub fn is_proved(&self, proofs: &[Id]) -> bool {
        !proofs.is_empty() && matches!(self.standing(), Standing::Open | Standing::Judged(TruthVerdict::True))
    }
}

/// A claimed value against a found one.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// What the numbers suggest; none where there is nothing to compare. A person decides.
    pub suggests: Option<TruthVerdict>,
    /// Why, in a sentence.
    pub because: String,
    /// Found minus claimed, SI, of the finding that lies farthest off.
    pub off_si: Option<f64>,
    /// Expanded uncertainty (k = 2) of that difference, SI.
    pub expanded_si: Option<f64>,
}

/// What findings suggest about a claimed value. `found` holds value and standard uncertainty of each.
///
/// A found value is as claimed when it lies within `allowance_si` of the claimed one, by more than the
/// expanded uncertainty of the difference; the claim's own ± counts in it. Without an allowance, half a
/// step of the last digit said is allowed: "8.8" was said of anything from 8.75 to 8.85. Some findings
/// inside and some outside suggest "partly". Words suggest only when they are the same.
///
/// Decision rule: guard bands as in [`quantity::verdict`].
pub fn suggest(said: &Value, allowance_si: Option<f64>, found: &[(Value, f64)]) -> Compared {
    let nothing =
        |because: &str| Compared { suggests: None, because: because.to_owned(), off_si: None, expanded_si: None };
    if found.is_empty() {
        return nothing("Nothing was found about it yet.");
    }
    match said {
        Value::NotRead(_) => nothing("The claim names no value."),
        Value::Word(said) => {
            let same = |v: &Value| matches!(v, Value::Word(w) if w.trim().eq_ignore_ascii_case(said.trim()));
            if found.iter().all(|(v, _)| same(v)) {
                Compared {
                    suggests: Some(TruthVerdict::True),
                    because: format!("Told {said}, found {said}."),
                    off_si: None,
                    expanded_si: None,
                }
            } else {
                nothing("Words differ; whether they mean the same is for a person to say.")
            }
        }
        Value::Quantity(said) => {
            let allowed = allowance_si.unwrap_or(0.5 * said.step_si);
            let u_said = said.u_si.unwrap_or(0.0);
            let mut verdicts = Vec::new();
            let mut farthest: Option<(f64, f64)> = None;
            for (value, u) in found {
                let Value::Quantity(found) = value else {
                    continue;
                };
                if found.dimension != said.dimension {
                    return nothing("What was found is another kind of quantity than what was claimed.");
                }
                let off = found.si - said.si;
                let u = u.hypot(u_said);
                verdicts.push(verdict(off, u, Limits::between(-allowed, allowed)));
                if farthest.is_none_or(|(most, _)| off.abs() > most.abs()) {
                    farthest = Some((off, 2.0 * u));
                }
            }
            let Some((off, expanded)) = farthest else {
                return nothing("A value was claimed and none was read.");
            };
            let has = |wanted: Verdict| verdicts.contains(&wanted);
            let (suggests, because) = if has(Verdict::Outside) && has(Verdict::Inside) {
                (TruthVerdict::Partly, "Some readings are as claimed, others are not.")
            } else if has(Verdict::Outside) {
                (
                    TruthVerdict::NotTrue,
                    "It lies farther off than what was allowed and the measuring uncertainty together.",
                )
            } else if has(Verdict::CannotTell) {
                (TruthVerdict::CannotTell, "The measuring uncertainty reaches over the edge of what was claimed.")
            } else {
                (TruthVerdict::True, "It lies within what was claimed, by more than the measuring uncertainty.")
            };
            Compared {
                suggests: Some(suggests),
                because: because.to_owned(),
                off_si: Some(off),
                expanded_si: Some(expanded),
            }
        }
    }
}
