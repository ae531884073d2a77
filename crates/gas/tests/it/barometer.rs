//! Doubt about a barometer.

use gas::atmosphere::{DoubtKind, barometer_doubt, station_from_altimeter_pa};

#[test]
fn sea_level_figures_at_height_are_noticed() {
    for height in [300.0, 600.0, 1000.0, 1600.0, 2500.0] {
        let doubt = barometer_doubt(101_325.0, height).expect("a doubt");
        assert_eq!(doubt.kind, DoubtKind::LooksLikeSeaLevel, "{height}");
    }
    // What the weather service means at 1600 m (`validation/humid_air`, altimeter table): 83 523.5 Pa.
    let doubt = barometer_doubt(101_325.0, 1600.0).expect("a doubt");
    let behind = doubt.expected.and_then(|expected| expected.station_behind_pa).expect("a figure");
    // Height above the sea and geopotential height differ by 0.4 m, which is 4 Pa.
    assert!((behind - 83_523.5).abs() < 5.0, "{behind}");
}

#[test]
fn ordinary_weather_passes_everywhere() {
    for height in [-100.0, 0.0, 150.0, 600.0, 1600.0, 3000.0] {
        for setting in [98_500.0, 101_325.0, 103_500.0] {
            let station = station_from_altimeter_pa(setting, height).expect("in range");
            assert_eq!(barometer_doubt(station, height), None, "{setting} at {height}");
        }
    }
}

#[test]
fn what_a_person_reads_about_a_doubtful_barometer() {
    let said: Vec<String> = [
        (101_900.0, 1600.0),
        (97_500.0, 0.0),
        (83_500.0, 0.0),
        (105_000.0, 10.0),
        (108_000.0, 10.0),
        (29.92, 100.0),
        (f64::NAN, 100.0),
        (99_000.0, 20_000.0),
    ]
    .into_iter()
    .map(|(pressure, height)| match barometer_doubt(pressure, height) {
        None => format!("{pressure} Pa at {height} m: no doubt"),
        Some(doubt) => format!("{:?}: {doubt}.", doubt.kind),
    })
    .collect();
    insta::assert_snapshot!(said.join("\n"));
}
