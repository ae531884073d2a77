//! Text that a renderer cannot draw vanishes without a word; here it must be seen as ink.

use crate::drawn::elements;
use crate::sample;
use chart::{Size, Theme, draw};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};
use std::sync::Arc;

/// A font of the repository.
pub(crate) fn font(cut: &str) -> Vec<u8> {
    let path = format!("{}/../../assets/fonts/AtkinsonHyperlegibleNext-{cut}.ttf", env!("CARGO_MANIFEST_DIR"));
    std::fs::read(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn render(svg: &str, fonts: &[&str]) -> Pixmap {
    let mut db = fontdb::Database::new();
    fonts.iter().for_each(|cut| db.load_font_data(font(cut)));
    let options = Options { fontdb: Arc::new(db), ..Options::default() };
    let tree = Tree::from_str(svg, &options).expect("the drawing is an SVG");
    let size = tree.size();
    let mut pixmap = Pixmap::new(size.width().ceil() as u32, size.height().ceil() as u32).expect("a size");
    resvg::render(&tree, Transform::default(), &mut pixmap.as_mut());
    pixmap
}

/// Texts of the drawing in whose box no pixel has the text's own colour.
fn unseen(svg: &str, fonts: &[&str]) -> Vec<String> {
    let pixmap = render(svg, fonts);
    let texts = elements(svg).into_iter().filter(|e| e.name == "text" && !e.words.trim().is_empty());
    texts
        .filter(|e| {
            let shape = e.text_box();
            let fill = e.get("fill").unwrap_or("#44555B");
            let part = |i: usize| i64::from_str_radix(&fill[i..i + 2], 16).expect("a hex colour");
            let wanted = [part(1), part(3), part(5)];
            let seen = (shape.y0 as u32..=shape.y1 as u32).any(|y| {
                (shape.x0.max(0.0) as u32..=shape.x1 as u32).any(|x| {
                    // 40 of 255 per channel: a stem of these sizes covers most of some pixel.
                    pixmap.pixel(x, y).is_some_and(|p| {
                        let got = [p.red(), p.green(), p.blue()].map(i64::from);
                        got.iter().zip(wanted).all(|(g, w)| (g - w).abs() <= 40)
                    })
                })
            });
            !seen
        })
        .map(|e| e.words)
        .collect()
}

#[test]
fn every_text_is_seen_with_our_fonts() {
    for theme in [Theme::Light, Theme::Dark, Theme::Print] {
        let svg = draw(&sample::hill_climb_four(), theme, &Size::file(798.0, 726.0));
        assert_eq!(unseen(&svg, &["Regular", "SemiBold"]), Vec::<String>::new(), "{theme:?}");
    }
}

#[test]
fn the_check_sees_a_missing_font() {
    let svg = draw(&sample::hill_climb_four(), Theme::Light, &Size::file(798.0, 726.0));
    let texts = elements(&svg).iter().filter(|e| e.name == "text").count();
    assert!(unseen(&svg, &[]).len() > texts / 2, "without fonts most texts must be reported");
}
