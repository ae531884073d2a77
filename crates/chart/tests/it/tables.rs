//! The data table shows the numbers of the picture.

use crate::sample;
use chart::table;

#[test]
fn rows_stand_at_the_step_and_missing_values_stay_missing() {
    let table = table(&sample::hill_climb_four(), 500.0);
    assert_eq!(table.rows.len(), 10, "2,000 to 6,500 rpm");
    assert_eq!(table.rows[3].rpm_text, "3,500");
    let column = |strip: &str, name: &str| {
        table.columns.iter().position(|c| c.strip == strip && c.name == name).expect("a column")
    };
    let was = column("torque", "Run 3");
    assert!(table.rows[8].values[was].is_some() && table.rows[9].values[was].is_none(), "run 3 ended at 6,300 rpm");
    let now = column("torque", "Run 14");
    assert_eq!(table.rows[0].spreads[now].as_deref(), Some("0.9"));
    let gained = table.columns.iter().position(|c| c.strip == "gained").expect("a column");
    assert!(table.rows[5].values[gained].as_deref().expect("a value").starts_with('+'));
}

#[test]
fn a_step_of_nothing_gives_no_rows() {
    assert!(table(&sample::hill_climb_four(), 0.0).rows.is_empty());
    assert!(table(&sample::hill_climb_four(), f64::NAN).rows.is_empty());
}
