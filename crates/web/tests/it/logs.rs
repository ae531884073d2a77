//! Invented logs: the smallest that make a run, written by a formula so that the truth is known.

use std::fmt::Write;

/// How a log is written.
#[derive(Clone, Copy)]
pub(crate) struct Written {
    /// Header of the torque's column; without a unit it is asked for.
    pub(crate) torque: &'static str,
    /// Factor on the torque: pulls that differ.
    pub(crate) scale: f64,
}

impl Default for Written {
    fn default() -> Self {
        Self { torque: "Torque (N·m)", scale: 1.0 }
    }
}

/// Torque of the invented engine, N·m.
pub(crate) fn truth_nm(rpm: f64) -> f64 {
    300.0 * (1.0 - ((rpm - 4500.0) / 6000.0).powi(2))
}

/// One pull: idle for two seconds, up from 2,000 to 6,500 rpm at 300 rpm/s under full load, then off load.
pub(crate) fn pull_csv(written: Written) -> Vec<u8> {
    let mut text = format!(
        "Time (s),Engine Speed (rpm),{},Throttle (%),Baro (kPa),Intake Air (°C),Humidity (%)\n",
        written.torque
    );
    for i in 0..1150 {
        let t = f64::from(i) * 0.02;
        let (rpm, load) = match t {
            t if t < 2.0 => (1200.0, 0.02),
            t if t < 3.0 => (1200.0 + 800.0 * (t - 2.0), 0.3),
            t if t < 18.0 => (2000.0 + 300.0 * (t - 3.0), 1.0),
            t => ((6500.0 - 1000.0 * (t - 18.0)).max(1200.0), -0.05),
        };
        // Deterministic wobble of 0.4 N·m stands for noise.
        let wobble = 0.4 * (f64::from(i) * 2.399).sin();
        let throttle = if load > 0.9 { 99.5 } else { 8.0 };
        let torque = truth_nm(rpm) * load * written.scale + wobble;
        let _ = writeln!(text, "{t:.2},{rpm:.1},{torque:.2},{throttle},97.9,24.6,41");
    }
    text.into_bytes()
}
