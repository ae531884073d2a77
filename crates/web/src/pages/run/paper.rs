//! What of a run goes on the one printed page, and how high its picture may be.
//!
//! Lines are counted from the number of their letters, on the lower of the two papers (Letter) and on the
//! narrower (A4). The style sheet lets the picture give way by what this count is wrong; where there is too
//! much to say, the picture shrinks first, then what to look at is left off, then flags and remarks are cut
//! and the page says how many there are more.

use chart::{RunPicture, least_height};
use report::{Condition, FigureRow, FlagItem, Piece};

/// Width in which the page is set, px: A4 less its margins.
pub(super) const WIDTH: f64 = 696.0;
/// Height that is there for everything, px: Letter less its margins, and a line of 1.5 mm less for the count.
const HEIGHT: f64 = 962.0;
/// Height that the picture has when there is room, px.
const WISHED: f64 = 540.0;
/// Height below which what to look at is rather left off, px.
const GOOD: f64 = 430.0;
/// Smallest scale: labels of 13 px stay above 7.5 pt.
const LEAST_SCALE: f64 = 0.77;

/// With this times its least height a picture has room for a tall torque strip and full-size letters.
const ROOMY: f64 = 1.4;

/// What is printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Plan {
    /// Height of the picture, px.
    pub(super) height: f64,
    /// Scale of its letters, 0.77 … 1.
    pub(super) scale: f64,
    /// Flags that are printed.
    pub(super) flags: usize,
    /// Limits and what to look at are printed with the flags.
    pub(super) look: bool,
    /// Remarks that are printed.
    pub(super) remarks: usize,
}

/// What stands on the page besides the picture.
pub(super) struct Said<'a> {
    pub(super) title: &'a str,
    pub(super) finding: &'a report::Finding,
    pub(super) conditions: &'a [Condition],
    pub(super) figures: &'a [FigureRow],
    pub(super) repeat: &'a [Piece],
    pub(super) plateaus: usize,
    pub(super) peaks: usize,
    pub(super) flags: &'a [FlagItem],
    pub(super) remarks: &'a [String],
}

impl Plan {
    /// The plan for a run.
    pub(super) fn new(picture: &RunPicture, said: &Said<'_>) -> Self {
        let least = least_height(picture) * LEAST_SCALE;
        let room = HEIGHT - said.fixed();
        let plan = |flags: usize, look: bool, remarks: usize| {
            let height = (room - said.columns_height(remarks) - said.flags_height(flags, look)).min(WISHED);
            let scale = (height / (ROOMY * least_height(picture))).clamp(LEAST_SCALE, 1.0);
            (height, Self { height: height.max(least), scale, flags, look, remarks })
        };
        let (flags, remarks) = (said.flags.len(), said.remarks.len());
        for (look, enough) in [(true, GOOD.max(least)), (false, least)] {
            let (height, all) = plan(flags, look, remarks);
            if height >= enough {
                return all;
            }
        }
        // Remarks give way down to two, then flags down to one, then the other remarks.
        let mut cut = (flags, remarks);
        loop {
            let (height, some) = plan(cut.0, false, cut.1);
            if height >= least || cut == (0, 0) {
                return some;
            }
            cut = match cut {
                (f, r) if r > 2 => (f, r - 1),
                (f, r) if f > 1 => (f - 1, r),
                (f, r) if r > 0 => (f, r - 1),
                (f, r) => (f.saturating_sub(1), r),
            };
        }
    }
}

impl Said<'_> {
    /// Height of all that is always printed, px.
    fn fixed(&self) -> f64 {
        let finding = self.finding.strong.len() + self.finding.rest.len();
        let head = 28.0 * lines(self.title.len(), 54) + 20.0 * lines(finding, 90) + 4.0;
        head + self.conditions_height() + 12.0
    }

    /// Height of the figures and peaks at the left, plateau, repeatability and remarks at the right, px.
    fn columns_height(&self, remarks: usize) -> f64 {
        let observed = self.figures.iter().filter(|row| row.observed.is_some()).count();
        let left = 52.0 + 24.0 * self.figures.len() as f64 + 19.0 * observed as f64 + 36.0 + 22.0 * self.peaks as f64;
        let repeat: usize = self.repeat.iter().map(|piece| piece.text.chars().count()).sum();
        let right = 32.0 + 20.0 * self.plateaus as f64 + 34.0 + 15.0 * lines(repeat, 46);
        left.max(right + self.remarks_height(remarks))
    }

    fn conditions_height(&self) -> f64 {
        let (mut rows, mut used) = (1.0, 0);
        for condition in self.conditions {
            let long = condition.name.chars().count()
                + condition.pieces.iter().map(|piece| piece.text.chars().count()).sum::<usize>()
                + 5;
            if used > 0 && used + long > 104 {
                rows += 1.0;
                used = 0;
            }
            used += long;
            rows += (used / 104) as f64;
            used %= 104;
        }
        20.0 * rows + 14.0
    }

    fn flags_height(&self, count: usize, look: bool) -> f64 {
        if self.flags.is_empty() {
            return 46.0;
        }
        let one = |flag: &FlagItem| {
            let short = 15.0 * lines(flag.short.chars().count(), 54);
            4.0 + short + if look { 14.0 * lines(flag.rest.chars().count(), 56) } else { 0.0 }
        };
        26.0 + in_two(&self.flags[..count].iter().map(one).collect::<Vec<_>>()) + more(count, self.flags.len())
    }

    fn remarks_height(&self, count: usize) -> f64 {
        if self.remarks.is_empty() {
            return 0.0;
        }
        let one = |text: &String| 2.0 + 15.0 * lines(text.chars().count(), 46);
        30.0 + self.remarks[..count].iter().map(one).sum::<f64>() + more(count, self.remarks.len())
    }
}

fn lines(letters: usize, in_a_line: usize) -> f64 {
    letters.div_ceil(in_a_line) as f64
}

/// Height of a line that says how many are left off.
fn more(count: usize, all: usize) -> f64 {
    if count < all { 18.0 } else { 0.0 }
}

/// Height of entries set in two columns in their order.
fn in_two(heights: &[f64]) -> f64 {
    let sum = |part: &[f64]| part.iter().sum::<f64>();
    (0..=heights.len()).map(|n| sum(&heights[..n]).max(sum(&heights[n..]))).fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flag(number: usize) -> FlagItem {
        FlagItem {
            number,
            pull: 1,
            short: "Short of boost by 11 kPa at worst (pulls 1, 2 and 3), 1,906 to 2,168 rpm.".into(),
            rest: "128 against 138 kPa, limit 6.9 kPa for 0.5 s. Look at the wastegate.".into(),
            sentence: String::new(),
            level: String::new(),
            source: String::new(),
        }
    }

    fn plan(flags: usize, remarks: usize) -> Plan {
        let flags: Vec<FlagItem> = (1..=flags).map(flag).collect();
        let remarks = vec!["Correction factors differ by more than 1 %: 1.0287 against 1.0158.".to_owned(); remarks];
        let finding = report::Finding { strong: "290 N·m on average".into(), rest: " over the band.".into() };
        let said = Said {
            title: "After the build",
            finding: &finding,
            conditions: &[],
            figures: &[],
            repeat: &[],
            plateaus: 2,
            peaks: 3,
            flags: &flags,
            remarks: &remarks,
        };
        Plan::new(&RunPicture::default(), &said)
    }

    #[test]
    fn few_flags_are_printed_whole_and_many_are_cut_and_counted() {
        let few = plan(3, 1);
        assert_eq!((few.flags, few.look, few.remarks), (3, true, 1));
        let some = plan(14, 1);
        assert_eq!((some.flags, some.look), (14, false), "what to look at gives way first");
        let many = plan(90, 30);
        assert!(many.flags > 5 && many.flags < 90 && many.remarks == 2, "{many:?}");
    }
}
