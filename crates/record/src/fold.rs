//! From entries to the state of a job. The result depends on the set of entries, not on their order.

mod misfits;
mod words;

use crate::before::TestBefore;
use crate::body::*;
use crate::claim::ClaimState;
use crate::versions::standing;
use crate::{Entry, Id, Stage};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};

/// Something that an entry said, as it stands after corrections.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept<T> {
    /// The entry that said it first.
    pub id: Id,
    /// The entry that says it as it stands: `id`, or a correction of it.
    pub version: Id,
    /// When it was written, by the writer's clock.
    pub at: Timestamp,
    /// When the shop received it.
    pub received: Option<Timestamp>,
    /// Who wrote it.
    pub author: String,
    /// What it says now.
    pub value: T,
    /// Corrections of it, oldest first.
    pub corrected: Vec<Id>,
}

/// A question with the answers that stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Answered {
    /// The question.
    pub question: Kept<Question>,
    /// Answers that stand; none: open.
    pub answers: Vec<Kept<Answer>>,
}

/// A measuring sheet as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// How it was begun.
    pub begun: Kept<SheetBegun>,
    /// Every reading that was ever made, by place, oldest first.
    pub readings: BTreeMap<String, Vec<Kept<Reading>>>,
    /// The readings that stand, by place, oldest first. More than one are repeats of each other, or a conflict.
    pub standing: BTreeMap<String, Vec<Id>>,
    /// When it was finished, newest last.
    pub finished: Vec<Kept<SheetFinished>>,
    /// What is kept although it is outside a limit, or left without a reading.
    pub waived: Vec<Kept<LimitWaived>>,
}

impl Sheet {
    /// The reading that counts in a place: the newest of those that stand.
    pub fn reading(&self, place: &str) -> Option<&Kept<Reading>> {
        let newest = self.standing.get(place)?.last()?;
        self.readings.get(place)?.iter().find(|r| r.id == *newest)
    }

    /// The readings that count together in a place: the newest of those that stand, and those that it repeats.
    pub fn counting(&self, place: &str) -> Vec<&Kept<Reading>> {
        let all = self.readings.get(place).map_or(&[][..], Vec::as_slice);
        let stands: Vec<&Kept<Reading>> =
            all.iter().filter(|r| self.standing.get(place).is_some_and(|s| s.contains(&r.id))).collect();
        let Some(newest) = stands.last() else { return Vec::new() };
        let linked = together(newest.id, &stands);
        stands.into_iter().filter(|r| linked.contains(&r.id)).collect()
    }

    /// Readings that stand in a place and were made without knowing of the newest: two hands, two numbers.
    pub fn disagreeing(&self, place: &str) -> Vec<&Kept<Reading>> {
        let counting: BTreeSet<Id> = self.counting(place).iter().map(|r| r.id).collect();
        let stands = self.standing.get(place).map_or(&[][..], Vec::as_slice);
        let all = self.readings.get(place).map_or(&[][..], Vec::as_slice);
        all.iter().filter(|r| stands.contains(&r.id) && !counting.contains(&r.id)).collect()
    }

    /// Every reading that counts, as [`crate::sheet::evaluate`] takes them.
    pub fn placed(&self) -> Vec<crate::sheet::PlacedReading> {
        let counting = self.standing.keys().flat_map(|place| self.counting(place));
        counting
            .map(|kept| crate::sheet::PlacedReading {
                id: kept.id,
                place: kept.value.place.clone(),
                value: kept.value.value.clone(),
                instrument: kept.value.instrument.clone(),
                at: kept.at.to_string(),
                author: kept.author.clone(),
            })
            .collect()
    }

    /// Signed as finished, and nothing was read after that.
    pub fn is_finished(&self) -> bool {
        let Some(finished) = self.finished.last() else {
            return false;
        };
        self.readings.values().flatten().all(|reading| reading.id < finished.id)
    }
}

/// Entries that were written without knowing of each other and cannot both stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// What they disagree about, in words.
    pub what: String,
    /// The entries, oldest first. A later entry that replaces all of them settles it.
    pub entries: Vec<Id>,
}

/// An entry that refers to something that is not there, or not of the kind it needs. It is kept and does not count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misfit {
    /// The entry.
    pub entry: Id,
    /// Why, in words.
    pub why: String,
}

/// One line of the notebook.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The entry.
    pub id: Id,
    /// When it was written.
    pub at: Timestamp,
    /// Who wrote it.
    pub author: String,
    /// Its kind.
    pub kind: &'static str,
    /// What it says, in short.
    pub words: String,
    /// It was struck or corrected later.
    pub superseded: bool,
}

/// The state of a job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Job {
    /// How it was opened; none if that entry is missing.
    pub opened: Option<Kept<JobOpened>>,
    /// Claims and promises, in the order of writing.
    pub claims: Vec<ClaimState>,
    /// Tests before teardown.
    pub tests: Vec<Kept<TestBefore>>,
    /// Findings.
    pub findings: Vec<Kept<Finding>>,
    /// Photos and files.
    pub files: Vec<Kept<EvidenceFile>>,
    /// Drawings that stand, by the photo they are on.
    pub drawings: BTreeMap<Id, Vec<Kept<Drawing>>>,
    /// Measuring sheets.
    pub sheets: Vec<Sheet>,
    /// Questions.
    pub questions: Vec<Answered>,
    /// Decisions.
    pub decisions: Vec<Kept<Decision>>,
    /// Parts fitted.
    pub parts: Vec<Kept<FittedPart>>,
    /// Runs on the dyno.
    pub runs: Vec<Kept<RunAttached>>,
    /// Descriptions of the engine that stand.
    pub builds: BTreeMap<WhichBuild, Vec<Kept<BuildStated>>>,
    /// Stages passed, by stage: the first entry that passed it.
    pub passed: BTreeMap<Stage, Kept<StagePassed>>,
    /// How it was handed over.
    pub handed_over: Option<Kept<HandedOver>>,
    /// Notes.
    pub notes: Vec<Kept<NoteWritten>>,
    /// What was written at once and disagrees.
    pub conflicts: Vec<Conflict>,
    /// Entries that do not count because of what they refer to.
    pub misfits: Vec<Misfit>,
    /// Every entry as a line of the notebook, oldest first.
    pub lines: Vec<Line>,
}

impl Job {
    /// The stage it is in.
    pub fn stage(&self) -> Stage {
        if self.handed_over.is_some() {
            return Stage::HandedOver;
        }
        self.passed.keys().next_back().copied().unwrap_or(Stage::Received)
    }

    /// A claim or promise by its entry.
    pub fn claim(&self, id: Id) -> Option<&ClaimState> {
        self.claims.iter().find(|c| c.id == id)
    }

    /// A sheet by the entry that began it.
    pub fn sheet(&self, id: Id) -> Option<&Sheet> {
        self.sheets.iter().find(|s| s.begun.id == id)
    }

    /// A photo or file by its entry.
    pub fn file(&self, id: Id) -> Option<&Kept<EvidenceFile>> {
        self.files.iter().find(|f| f.id == id)
    }

    /// A finding by its entry.
    pub fn finding(&self, id: Id) -> Option<&Kept<Finding>> {
        self.findings.iter().find(|f| f.id == id)
    }

    /// The description of the engine of one kind that counts: the newest of those that stand.
    pub fn build(&self, which: WhichBuild) -> Option<&Kept<BuildStated>> {
        self.builds.get(&which)?.last()
    }

    /// What proves a claim or promise: entries of parts with a number or photo, findings with a value or photo, photos.
    pub fn proofs(&self, claim: &ClaimState) -> Vec<Id> {
        let parts = self.parts.iter().filter(|p| claim.parts.contains(&p.id)).filter(|p| {
            let it = &p.value;
            !(it.part_number.is_empty() && it.serial.is_empty() && it.lot.is_empty() && it.shown_by.is_empty())
                || self.files.iter().any(|f| f.value.about.contains(&p.id))
        });
        let findings = self.findings.iter().filter(|f| claim.findings.contains(&f.id)).filter(|f| {
            !f.value.shown_by.is_empty()
                || f.value.found.is_some()
                || self.files.iter().any(|file| file.value.about.contains(&f.id))
        });
        let photos = self.files.iter().filter(|f| f.value.about.contains(&claim.id));
        let mut all: Vec<Id> = parts.map(|p| p.id).chain(findings.map(|f| f.id)).chain(photos.map(|f| f.id)).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

/// Entries of a set that cannot count because of what they refer to: what [`fold`] lists as [`Job::misfits`], without the
/// rest of the state.
pub fn misfits<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Vec<Misfit> {
    misfits::find(&entries.into_iter().map(|e| (e.id, e)).collect())
}

/// The state that a set of entries amounts to. Entries of one job only; doubles by id count once.
pub fn fold<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Job {
    let all: BTreeMap<Id, &Entry> = entries.into_iter().map(|e| (e.id, e)).collect();
    let struck = struck(&all);
    let mut job = Job { misfits: misfits::find(&all), ..Job::default() };
    let odd: BTreeSet<Id> = job.misfits.iter().map(|m| m.entry).collect();
    let counts = |id: &Id| !struck.contains(id) && !odd.contains(id);

    // Corrections by what they correct.
    let mut corrections: BTreeMap<Id, Vec<(Id, &Correction)>> = BTreeMap::new();
    for (id, entry) in all.iter().filter(|(id, _)| counts(id)) {
        if let Body::Correction(correction) = &entry.body {
            corrections.entry(correction.of).or_default().push((*id, correction));
        }
    }

    let mut verdicts: Vec<Kept<VerdictGiven>> = Vec::new();
    let mut answers: Vec<Kept<Answer>> = Vec::new();
    let mut drawings: Vec<Kept<Drawing>> = Vec::new();
    let mut readings: Vec<Kept<Reading>> = Vec::new();
    let mut finished: Vec<Kept<SheetFinished>> = Vec::new();
    let mut waived: Vec<Kept<LimitWaived>> = Vec::new();
    let mut builds: Vec<Kept<BuildStated>> = Vec::new();

    for (id, entry) in &all {
        let versions = corrections.get(id).map_or(&[][..], Vec::as_slice);
        let left = standing(
            std::iter::once((*id, &[][..])).chain(versions.iter().map(|(at, c)| (*at, c.replaces.as_slice()))),
        );
        let newest = left.last().copied().unwrap_or(*id);
        let body = versions.iter().find(|(at, _)| *at == newest).map_or(&entry.body, |(_, c)| &c.now);
        job.lines.push(Line {
            id: *id,
            at: entry.at,
            author: entry.author.clone(),
            kind: entry.body.kind(),
            words: words::of(&entry.body, &all),
            superseded: struck.contains(id) || newest != *id,
        });
        if !counts(id) {
            continue;
        }
        if left.len() > 1 {
            job.conflicts
                .push(Conflict { what: format!("two corrections of one {}", words::kind(body)), entries: left });
        }
        macro_rules! kept {
            ($value:expr) => {
                Kept {
                    id: *id,
                    version: newest,
                    at: entry.at,
                    received: entry.received,
                    author: entry.author.clone(),
                    value: $value.clone(),
                    corrected: versions.iter().map(|(at, _)| *at).collect(),
                }
            };
        }
        match body {
            Body::JobOpened(it) => job.opened = job.opened.take().or_else(|| Some(kept!(it))),
            Body::Claim(it) => job.claims.push(claim(*id, entry.at, it)),
            Body::Promise(it) => job.claims.push(promise(*id, entry, it)),
            Body::TestBefore(it) => job.tests.push(kept!(it)),
            Body::Finding(it) => job.findings.push(kept!(it)),
            Body::VerdictGiven(it) => verdicts.push(kept!(it)),
            Body::EvidenceFile(it) => job.files.push(kept!(it)),
            Body::Drawing(it) => drawings.push(kept!(it)),
            Body::Reading(it) => readings.push(kept!(it)),
            Body::SheetBegun(it) => job.sheets.push(Sheet {
                begun: kept!(it),
                readings: BTreeMap::new(),
                standing: BTreeMap::new(),
                finished: Vec::new(),
                waived: Vec::new(),
            }),
            Body::SheetFinished(it) => finished.push(kept!(it)),
            Body::LimitWaived(it) => waived.push(kept!(it)),
            Body::Question(it) => job.questions.push(Answered { question: kept!(it), answers: Vec::new() }),
            Body::Answer(it) => answers.push(kept!(it)),
            Body::Decision(it) => job.decisions.push(kept!(it)),
            Body::FittedPart(it) => job.parts.push(kept!(it)),
            Body::RunAttached(it) => job.runs.push(kept!(it)),
            Body::BuildStated(it) => builds.push(kept!(it)),
            Body::StagePassed(it) => {
                job.passed.entry(it.to).or_insert_with(|| kept!(it));
            }
            Body::HandedOver(it) => job.handed_over = job.handed_over.take().or_else(|| Some(kept!(it))),
            Body::NoteWritten(it) => job.notes.push(kept!(it)),
            Body::Correction(_) | Body::Struck(_) => {}
        }
    }
    gather_claims(&mut job, verdicts);
    gather_sheets(&mut job, readings, finished, waived);
    for question in &mut job.questions {
        let id = question.question.id;
        question.answers = heads(answers.iter().filter(|a| a.value.to == id), |a| &a.replaces);
        if question.answers.len() > 1 {
            let what = format!("two answers to \"{}\"", question.question.value.words);
            job.conflicts.push(Conflict { what, entries: question.answers.iter().map(|a| a.id).collect() });
        }
    }
    let photos: BTreeSet<Id> = drawings.iter().map(|d| d.value.on).collect();
    for photo in photos {
        let left = heads(drawings.iter().filter(|d| d.value.on == photo), |d| &d.replaces);
        if left.len() > 1 {
            let what = "two drawings on one photo".to_owned();
            job.conflicts.push(Conflict { what, entries: left.iter().map(|d| d.id).collect() });
        }
        job.drawings.insert(photo, left);
    }
    for which in [WhichBuild::AsTold, WhichBuild::AsFound, WhichBuild::Agreed] {
        let left = heads(builds.iter().filter(|b| b.value.which == which), |b| &b.replaces);
        if left.len() > 1 {
            let what = format!("two descriptions of the engine {}", which.name());
            job.conflicts.push(Conflict { what, entries: left.iter().map(|b| b.id).collect() });
        }
        if !left.is_empty() {
            job.builds.insert(which, left);
        }
    }
    job
}

/// Entries that were struck. A strike can be struck itself; only an earlier entry can be struck.
fn struck(all: &BTreeMap<Id, &Entry>) -> BTreeSet<Id> {
    let mut gone = BTreeSet::new();
    for (id, entry) in all.iter().rev() {
        if let Body::Struck(struck) = &entry.body
            && struck.of < *id
            && !gone.contains(id)
        {
            gone.insert(struck.of);
        }
    }
    gone
}

/// Those that stand, oldest first.
fn heads<'a, T: Clone + 'a>(
    all: impl Iterator<Item = &'a Kept<T>> + Clone,
    replaces: impl Fn(&T) -> &Vec<Id> + Clone,
) -> Vec<Kept<T>> {
    let left = standing(all.clone().map(|k| (k.id, replaces(&k.value).as_slice())));
    all.filter(|k| left.contains(&k.id)).cloned().collect()
}

fn claim(id: Id, at: Timestamp, it: &Claim) -> ClaimState {
    ClaimState {
        id,
        ours: false,
        component: it.component.clone(),
        words: it.words.clone(),
        said: it.claimed.clone(),
        allowance_si: it.allowance_si,
        by: it.by.clone(),
        rests_on: it.rests_on.clone(),
        weight: it.weight,
        touches: it.touches.clone(),
        findings: Vec::new(),
        parts: Vec::new(),
        files: Vec::new(),
        verdicts: Vec::new(),
        at,
    }
}

fn promise(id: Id, entry: &Entry, it: &Promise) -> ClaimState {
    ClaimState {
        id,
        ours: true,
        component: it.component.clone(),
        words: it.words.clone(),
        said: it.promised.clone(),
        allowance_si: it.allowance_si,
        by: entry.author.clone(),
        rests_on: Vec::new(),
        weight: it.weight,
        touches: String::new(),
        findings: Vec::new(),
        parts: Vec::new(),
        files: Vec::new(),
        verdicts: Vec::new(),
        at: entry.at,
    }
}

fn gather_claims(job: &mut Job, verdicts: Vec<Kept<VerdictGiven>>) {
    for claim in &mut job.claims {
        claim.findings = job.findings.iter().filter(|f| f.value.claim == Some(claim.id)).map(|f| f.id).collect();
        claim.parts = job.parts.iter().filter(|p| p.value.promise == Some(claim.id)).map(|p| p.id).collect();
        let mut near: BTreeSet<Id> = BTreeSet::from([claim.id]);
        near.extend(&claim.findings);
        near.extend(&claim.parts);
        let shown = job.findings.iter().filter(|f| claim.findings.contains(&f.id)).flat_map(|f| &f.value.shown_by);
        let shown = shown
            .chain(job.parts.iter().filter(|p| claim.parts.contains(&p.id)).flat_map(|p| &p.value.shown_by))
            .chain(claim.rests_on.iter().filter_map(|s| s.file.as_ref()));
        let shown: BTreeSet<Id> = shown.copied().collect();
        let is_near = |f: &&Kept<EvidenceFile>| shown.contains(&f.id) || f.value.about.iter().any(|a| near.contains(a));
        claim.files = job.files.iter().filter(is_near).map(|f| f.id).collect();
        claim.verdicts = heads(verdicts.iter().filter(|v| v.value.on == claim.id), |v| &v.replaces);
        if claim.verdicts.len() > 1 {
            let what = format!("two verdicts on \"{}\"", claim.words);
            job.conflicts.push(Conflict { what, entries: claim.verdicts.iter().map(|v| v.id).collect() });
        }
    }
}

/// Readings that are linked with one by repeating it or being repeated, and itself.
fn together(one: Id, stands: &[&Kept<Reading>]) -> BTreeSet<Id> {
    let mut linked = BTreeSet::from([one]);
    loop {
        let more: Vec<Id> = stands
            .iter()
            .filter(|r| !linked.contains(&r.id))
            .filter(|r| {
                r.value.repeats.iter().any(|of| linked.contains(of))
                    || stands.iter().any(|other| linked.contains(&other.id) && other.value.repeats.contains(&r.id))
            })
            .map(|r| r.id)
            .collect();
        if more.is_empty() {
            return linked;
        }
        linked.extend(more);
    }
}

fn gather_sheets(
    job: &mut Job,
    readings: Vec<Kept<Reading>>,
    finished: Vec<Kept<SheetFinished>>,
    waived: Vec<Kept<LimitWaived>>,
) {
    for sheet in &mut job.sheets {
        let id = sheet.begun.id;
        for reading in readings.iter().filter(|r| r.value.sheet == id) {
            sheet.readings.entry(reading.value.place.clone()).or_default().push(reading.clone());
        }
        for (place, all) in &sheet.readings {
            let left = standing(all.iter().map(|r| (r.id, r.value.replaces.as_slice())));
            let stands: Vec<&Kept<Reading>> = all.iter().filter(|r| left.contains(&r.id)).collect();
            if let Some(newest) = left.last()
                && together(*newest, &stands).len() < left.len()
            {
                let what = format!("two readings at {place} of \"{}\"", sheet.begun.value.title);
                job.conflicts.push(Conflict { what, entries: left.clone() });
            }
            sheet.standing.insert(place.clone(), left);
        }
        sheet.finished = finished.iter().filter(|f| f.value.sheet == id).cloned().collect();
        sheet.waived = waived.iter().filter(|w| w.value.sheet == id).cloned().collect();
    }
}
