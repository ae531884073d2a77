//! The stories' printed figures, from `validation/stories/stories.csv`.

/// One printed figure. `to_rpm` is of no use to the tests that take the band from the run.
#[derive(Debug, Clone)]
#[allow(dead_code, reason = "shared by two test programs; one of them takes the band from the run")]
pub(crate) struct Printed {
    pub(crate) key: String,
    pub(crate) figure: String,
    pub(crate) from_rpm: f64,
    pub(crate) to_rpm: f64,
    pub(crate) value: f64,
    pub(crate) half_step: f64,
}

pub(crate) fn printed() -> Vec<Printed> {
    let text = include_str!("../../../../validation/stories/stories.csv");
    let rows: Vec<Printed> = text.lines().skip(1).map(row).collect();
    assert!(rows.len() > 80, "the table is whole");
    rows
}

fn row(line: &str) -> Printed {
    let cells: Vec<&str> = line.split(',').collect();
    let number = |i: usize| cells[i].parse().unwrap_or(f64::NAN);
    Printed {
        key: cells[0].to_owned(),
        figure: cells[1].to_owned(),
        from_rpm: number(2),
        to_rpm: number(3),
        value: number(4),
        half_step: number(6),
    }
}
