//! What the writers write, read back the plain way.

use invent::{stories, style, table};

/// The text of a written log, whatever its bytes.
fn text(bytes: &[u8], encoding: style::Encoding) -> String {
    match encoding {
        style::Encoding::Utf8 => String::from_utf8(bytes.to_vec()).unwrap(),
        style::Encoding::Windows1252 => bytes.iter().map(|b| char::from(*b)).collect(),
        style::Encoding::Utf16 => {
            assert_eq!(&bytes[..2], [0xff, 0xfe]);
            let units: Vec<u16> = bytes[2..].chunks(2).map(|b| u16::from_le_bytes([b[0], b[1]])).collect();
            String::from_utf16(&units).unwrap()
        }
    }
}

#[test]
fn every_log_reads_back() {
    for story in stories::all() {
        let logs = table::logs(&story, 3);
        for log in &logs {
            let style = &story.cell.style;
            let text = text(&style.write(log, &story.title), style.encoding);
            assert!(text.starts_with("invented data: "), "{}", story.key);
            assert!(!text.contains('?'), "{}: no character was lost", story.key);
            // The rows whose first cell is a time; the header, repeated or not, is none.
            let delimiter = style.delimiter;
            let column =
                style.columns.iter().filter(|c| log.values(&c.key).is_some()).position(|c| c.key == "torque").unwrap();
            let written = style.columns.iter().find(|c| c.key == "torque").unwrap();
            let mut rows = 0;
            for line in text.lines() {
                if !line.starts_with(|c: char| c.is_ascii_digit()) {
                    continue;
                }
                let cells: Vec<&str> = line.split(delimiter).collect();
                let want = style::from_si(&written.unit, log.values("torque").unwrap()[rows]);
                match cells[column + 1].replace(style.decimal, ".").parse::<f64>() {
                    Ok(got) if got.is_finite() => {
                        assert!((got - want).abs() <= 0.0501, "{}: {got} against {want}", story.key)
                    }
                    _ => assert!(want.is_nan(), "{}: {:?} stands for {want}", story.key, cells[column + 1]),
                }
                rows += 1;
            }
            assert_eq!(rows, log.time_s.len(), "{}", story.key);
        }
    }
}

#[test]
fn no_two_cells_write_alike() {
    let first_lines = |key: &str, n: usize| {
        let story = stories::by_key(key).unwrap();
        let log = &table::logs(&story, 3)[0];
        let style = &story.cell.style;
        text(&style.write(log, "x"), style.encoding)
            .split(style.line_end)
            .take(n)
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    assert!(first_lines("cruiser-after", 3)[2].starts_with("Time [s],Engine speed [rpm],Torque [lb-ft],Power [hp],"));
    let yard = first_lines("hill-climb-14", 6);
    assert!(yard[2].starts_with("Time;Speed;Torque;Throttle;"), "{}", yard[2]);
    assert!(yard[3].starts_with("s;1/min;Nm;%;kPa abs;"), "{}", yard[3]);
    assert!(yard[4].starts_with("0,000;") && yard[4].ends_with(';'), "{}", yard[4]);
    let river = first_lines("turbo-four", 7);
    assert!(river[4].starts_with("Clock\tEngine speed (rpm)\t"), "{}", river[4]);
    assert!(river[5].starts_with("0:00:00.000\t"), "{}", river[5]);
    let hill = first_lines("tow-before", 2003);
    assert_eq!(hill[1], hill[2002], "the header comes again after 2,000 rows");
}
