//! The whole way from bytes: written as each invented cell writes, read, settled with its cell file, analysed.

use crate::invented::setup;
use invent::stories::by_key;
use invent::story::Story;
use pull::analysis::Analysis;
use pull::cell::{Answers, CellFile};
use pull::log::Log;
use pull::read::assign::{propose, settle};
use pull::read::{ReadHints, read};

fn cell_of(story: &Story) -> CellFile {
    pull::cell_file::parse(&invent::demo::cell_file(story)).unwrap_or_else(|e| panic!("{}: {e}", story.key))
}

fn read_logs(story: &Story, cell: &CellFile) -> Vec<Log> {
    let mut files = Vec::new();
    invent::demo::log_files(story, invent::demo::SEED, &mut files);
    let answers = Answers::default();
    files
        .iter()
        .map(|file| {
            let name = file.path.rsplit('/').next().unwrap();
            let raw = read(name, &file.bytes, &ReadHints::new(cell, &answers), &|_| ()).unwrap();
            let proposal = propose(&raw, cell, &answers, None, None);
            let ids: Vec<_> = proposal.questions.iter().map(|q| (q.id.clone(), q.text.clone())).collect();
            assert!(ids.is_empty(), "{}: {ids:#?}", story.key);
            settle(raw, &proposal, None, None).unwrap()
        })
        .collect()
}

fn analysed(story: &Story) -> Analysis {
    let cell = cell_of(story);
    pull::run::analyse(&read_logs(story, &cell), &cell, &setup(story), &pull::guard::Rules::shipped()).unwrap()
}

/// One story for each way of writing.
const STORIES: [&str; 4] = ["cruiser-after", "hill-climb-14", "drag-after", "tow-after"];

#[test]
fn each_cell_s_logs_are_read_without_a_question() {
    for key in STORIES {
        let story = by_key(key).unwrap();
        let written = invent::table::logs(&story, invent::demo::SEED);
        let logs = read_logs(&story, &cell_of(&story));
        assert_eq!(logs.len(), written.len());
        for (log, table) in logs.iter().zip(&written) {
            assert_eq!(log.rows_kept, table.time_s.len(), "{key}: {:?}", log.problems);
            for column in &table.columns {
                let Some(style) = story.cell.style.columns.iter().find(|c| c.key == column.key) else { continue };
                let role = pull::role::Role::from_key(&column.key);
                let channel = log.groups[0]
                    .channels
                    .iter()
                    .find(|c| c.role == role)
                    .unwrap_or_else(|| panic!("{key}: no {}", column.key));
                // Half of the last decimal written, in SI; a little more for the arithmetic of the units.
                let step =
                    (invent::style::from_si(&style.unit, 1.0) - invent::style::from_si(&style.unit, 0.0)).recip();
                let half = 0.5001 * 10f64.powi(-(style.decimals as i32)) * step;
                for (got, want) in channel.si.iter().zip(&column.si) {
                    assert!(
                        got.is_nan() == want.is_nan() && !((got - want).abs() > half + 1e-9 * want.abs()),
                        "{key} {}: {got} against {want}",
                        column.key
                    );
                }
            }
        }
    }
}

#[test]
fn band_means_come_out_of_the_files() {
    for key in STORIES {
        let story = by_key(key).unwrap();
        let a = analysed(&story);
        let want = story.band_mean_torque_nm(story.band.0, story.band.1);
        let got = a.figures.mean_torque_nm.unwrap();
        // As in `stories`: 0.12 %. Rounding of the written digits is noise beside that of the samples.
        assert!((got.value / want - 1.0).abs() < 0.0012, "{key}: {got:?} against {want}");
        assert!((got.value - want).abs() < got.expanded, "{key}: {got:?} against {want}");
        assert_eq!(a.pulls.iter().filter(|p| p.left_out.is_none()).count(), 3, "{key}");
    }
}

#[test]
fn the_load_cell_check_is_applied_with_the_gain_found() {
    let a = analysed(&by_key("drag-after").unwrap());
    let check = a.load_cell.unwrap();
    // The River cell reads 0.3 % high and 0.4 N·m low at nothing; its points are written with two decimals.
    assert!(check.applied && (check.gain - 1.003).abs() < 2e-5 && (check.offset_nm + 0.4).abs() < 0.01, "{check:?}");
}

#[test]
fn a_torque_without_unit_is_asked_about() {
    let file = invent::demo::files().into_iter().find(|f| f.path.ends_with("a-unit-to-ask-about.csv")).unwrap();
    let (cell, answers) = (CellFile::default(), Answers::default());
    let raw = read("a-unit-to-ask-about.csv", &file.bytes, &ReadHints::new(&cell, &answers), &|_| ()).unwrap();
    let must: Vec<String> =
        propose(&raw, &cell, &answers, None, None).questions.into_iter().filter(|q| q.must).map(|q| q.id).collect();
    assert_eq!(must, ["unit:Torque"]);
}
