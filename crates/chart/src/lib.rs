//! One SVG drawing of a run for screen, paper and file.
//!
//! The crate knows nothing of where numbers come from: it is given lines, bands, flags and words in
//! printed units, and returns text. Quantities stack as strips on one scale of engine speed, each
//! mark is labelled at the mark, a gap stays a gap, and every meaning that colour carries is carried
//! a second time by dash, weight, hatch or shape.
//!
//! - [`draw()`]: the run picture; [`table()`]: the same data as rows.
//! - [`draw_xy`] and [`draw_parts`]: the same strips over crank degrees or lift, and a whole as one bar.
//! - [`sparkline`] and [`plateau_bars`]: the two small pictures.
//!
//! Output is deterministic: coordinates are rounded to a hundredth of a pixel, and nothing depends on
//! a clock, a locale or installed fonts (text is measured with a committed table of advances).

mod draw;
mod labels;
mod layout;
mod marks;
mod measure;
mod picture;
mod place;
mod readout;
mod scale;
mod small;
mod speed;
mod svg;
mod table;
mod theme;
mod words;
mod xy;

pub use draw::{draw, least_height};
pub use measure::{WIDEST, advance, measured_characters, text_width};
pub use picture::{
    Area, BandOfUse, FlagMark, LimitLine, Line, LineKind, MeanLine, NoData, Pick, PlateauRow, RunPicture, Size, Strip,
    Theme,
};
pub use small::{plateau_bars, sparkline};
pub use table::{Table, TableColumn, TableRow, table};
pub use xy::{Part, PartsPicture, XAxis, XMark, XScale, XyPicture, draw_parts, draw_xy, parts_height};
