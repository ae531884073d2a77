//! What is to be drawn: plain numbers and words, no physics and no units of its own.
//!
//! Values stand in the units in which they are printed (the caller has converted them); speeds are
//! in rpm. NaN in a line means "not tested here": the line is interrupted and never joined.

use serde::Serialize;

/// A run as strips over one scale of engine speed.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct RunPicture {
    /// Title for readers who cannot see the picture: "Run 14: three pulls".
    pub title: String,
    /// The finding and the figures in sentences, for the same readers.
    pub summary: String,
    /// Lowest speed with data, rpm. The scale starts at the hundred below.
    pub rpm_from: f64,
    /// Highest speed with data, rpm. The scale ends a little above.
    pub rpm_to: f64,
    /// Band of use, if one is judged.
    pub band: Option<BandOfUse>,
    /// Strips from top to bottom.
    pub strips: Vec<Strip>,
    /// Flagged spans, hatched through all strips.
    pub flags: Vec<FlagMark>,
}

/// The band of speed in which the engine will be used.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct BandOfUse {
    /// Lower end, rpm.
    pub from_rpm: f64,
    /// Upper end, rpm.
    pub to_rpm: f64,
    /// Printed over the bar in bold: "Band of use".
    pub label: String,
    /// Printed beside the label, light, on interactive drawings only: what the handles do.
    pub note: String,
}

/// One quantity in its own panel.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Strip {
    /// Stable key: `torque`, `power`, `lambda`. Flags name it, and the page script finds it.
    pub key: String,
    /// Quantity, printed bold: "Torque".
    pub name: String,
    /// Unit and basis, printed light: "N·m, corrected".
    pub unit_and_basis: String,
    /// Unit alone, for readouts and table heads: "N·m". Empty for lambda.
    pub unit: String,
    /// Share of the height; 1 is an ordinary strip.
    pub weight: f64,
    /// The curves.
    pub lines: Vec<Line>,
    /// Where the quantity was meant to be, drawn grey.
    pub target: Option<Area>,
    /// An average over a span, drawn dotted with its value.
    pub mean: Option<MeanLine>,
    /// The value scale includes zero.
    pub from_zero: bool,
    /// Print "scale starts at N" when the scale does not include zero.
    pub say_start: bool,
    /// Zero is drawn in ink and positive values carry their sign: a difference.
    pub difference: bool,
    /// Spans without data, cross-hatched.
    pub no_data: Vec<NoData>,
    /// What is not allowed, hatched.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub limits: Vec<LimitLine>,
    /// Single points that are named: ringed dots.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub picks: Vec<Pick>,
    /// Decimals of readouts and of the data table.
    pub decimals: u8,
}

/// Where a line comes from; decides colour, weight and dash.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum LineKind {
    /// Measured here: solid blue.
    #[default]
    Measured,
    /// Said or calculated: dashed brass.
    Predicted,
    /// An earlier run: grey.
    Before,
    /// One pull out of several: thin blue.
    SinglePull,
    /// A difference to an earlier run: solid blue over a blue wash down to zero.
    Gain,
}

/// One curve.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Line {
    /// Where it comes from.
    pub kind: LineKind,
    /// Printed at the line: "Run 14, three pulls". Empty: no label.
    pub label: String,
    /// Short name for the data table and the readout: "run 14". Empty: the label is used.
    pub name: String,
    /// (speed in rpm, value); a NaN value is a gap.
    pub points: Vec<(f64, f64)>,
    /// Lowest and highest value at each point, drawn as a band; as long as `points`.
    pub band: Option<Vec<(f64, f64)>>,
    /// Printed ± at each point, for the readout and the table; as long as `points`.
    pub spread: Option<Vec<f64>>,
    /// Said at the last point: "knock, stopped here".
    pub end_note: Option<String>,
}

/// A grey area: (speed in rpm, lowest, highest). NaN is a gap.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Area {
    /// Corners along the speed.
    pub points: Vec<(f64, f64, f64)>,
}

/// An average over a span.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct MeanLine {
    /// The average, in the strip's unit.
    pub value: f64,
    /// From, rpm.
    pub from_rpm: f64,
    /// To, rpm.
    pub to_rpm: f64,
    /// Printed first: "average".
    pub label: String,
    /// The value as it is to be printed: "290.1".
    pub value_text: String,
}

/// A limit over a span: its edge in madder, the side that is not allowed hatched.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct LimitLine {
    /// The limit, in the strip's unit.
    pub value: f64,
    /// From, in the unit of the common scale.
    pub from: f64,
    /// To.
    pub to: f64,
    /// Values above it are not allowed; else those below.
    pub greatest: bool,
    /// Printed at its end: "least, intake 2.0 mm".
    pub label: String,
}

/// A point that is named at the mark.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Pick {
    /// Where on the common scale.
    pub at: f64,
    /// Its value, in the strip's unit.
    pub value: f64,
    /// Where it comes from; decides the colour.
    pub kind: LineKind,
    /// Printed beside it: "2.31 mm, 10° after".
    pub label: String,
}

/// A span in which a strip has no data.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct NoData {
    /// From, rpm.
    pub from_rpm: f64,
    /// To, rpm.
    pub to_rpm: f64,
    /// Why: "no run 3". Printed where there is room.
    pub words: String,
}

/// A flagged span.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct FlagMark {
    /// Number in the disc; the same as in the list beside the picture.
    pub number: usize,
    /// From, rpm.
    pub from_rpm: f64,
    /// To, rpm.
    pub to_rpm: f64,
    /// Key of the strip in which disc and words stand.
    pub strip_key: String,
    /// Two to four words: "pull 2 lean by 0.02".
    pub words: String,
    /// The offending stretch, redrawn in that strip.
    pub stretch: Vec<(f64, f64)>,
}

/// Where the drawing will be seen; decides the colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Theme {
    /// On a page that defines the colours as CSS variables (`--ink`, `--blue`, …).
    Variables,
    /// A file, light.
    Light,
    /// A file, dark.
    Dark,
    /// Paper.
    Print,
}

/// Size and kind of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// Width, px; 280 or more (less is drawn as 280).
    pub width: f64,
    /// Height, px; less than the strips need is drawn at the least height.
    pub height: f64,
    /// With band handles, readout and their attributes, for the page script.
    pub interactive: bool,
    /// With a `<style>` element, for files that stand alone. Pages carry the rules in their own sheet.
    pub embed_style: bool,
    /// Put before every id, so that drawings on one page do not clash.
    pub prefix: String,
}

impl Size {
    /// A drawing for a page, driven by the page script.
    pub fn page(width: f64, height: f64, prefix: &str) -> Self {
        Self { width, height, interactive: true, embed_style: false, prefix: prefix.to_owned() }
    }

    /// A drawing that stands alone in a file.
    pub fn file(width: f64, height: f64) -> Self {
        Self { width, height, interactive: false, embed_style: true, prefix: "run".to_owned() }
    }
}

/// One bar of a plateau picture.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct PlateauRow {
    /// Which run: "run 14". For readers who cannot see the picture.
    pub label: String,
    /// Where it comes from; decides the colour and the thickness.
    pub kind: LineKind,
    /// From, rpm.
    pub from_rpm: f64,
    /// To, rpm.
    pub to_rpm: f64,
    /// The span runs into the start of the data; the end is drawn open.
    pub open_below: bool,
    /// The span runs into the end of the data.
    pub open_above: bool,
}
