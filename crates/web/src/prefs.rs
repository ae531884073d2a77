//! What a person has chosen for this browser: light or dark, units, and the width of the sheet.
//!
//! Kept in cookies on this machine; nothing else is kept there.

use crate::accounts::{Seen, Who};
use axum::extract::FromRequestParts;
use axum::http::header;
use axum::http::request::Parts;
use quantity::UnitSystem;
use std::convert::Infallible;

/// Light, dark, or as the machine is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Paper {
    /// As the machine is set.
    #[default]
    Machine,
    /// Light.
    Light,
    /// Dark.
    Dark,
}

/// The choices of a request.
#[derive(Debug, Clone, Default)]
pub(crate) struct Prefs {
    /// Light or dark.
    pub(crate) paper: Paper,
    /// Units.
    pub(crate) units: UnitSystem,
    /// Width and height that the page's script found for the picture, px.
    pub(crate) plot: Option<(f64, f64)>,
    /// Address asked for, to come back to.
    pub(crate) here: String,
    /// The person who asks; none at the door.
    pub(crate) who: Option<Who>,
}

impl Prefs {
    /// Reads the cookies of a request.
    pub(crate) fn of(parts: &Parts) -> Self {
        let mut prefs = Self {
            units: UnitSystem::Metric,
            here: parts.uri.path_and_query().map_or("/", |p| p.as_str()).to_owned(),
            who: Seen::of(parts).who().cloned(),
            ..Self::default()
        };
        let cookies = parts.headers.get_all(header::COOKIE).iter().filter_map(|v| v.to_str().ok());
        for pair in cookies.flat_map(|line| line.split(';')) {
            match pair.trim().split_once('=') {
                Some(("paper", "light")) => prefs.paper = Paper::Light,
                Some(("paper", "dark")) => prefs.paper = Paper::Dark,
                Some(("units", "us")) => prefs.units = UnitSystem::UsCustomary,
                Some(("plot", size)) => prefs.plot = plot_size(size),
                _ => {}
            }
        }
        prefs
    }
}

/// `950x560`, within what a screen can be.
pub(crate) fn plot_size(text: &str) -> Option<(f64, f64)> {
    let (width, height) = text.split_once('x')?;
    let (width, height): (f64, f64) = (width.parse().ok()?, height.parse().ok()?);
    ((280.0..=2400.0).contains(&width) && (300.0..=2000.0).contains(&height)).then_some((width, height))
}

impl<S: Sync> FromRequestParts<S> for Prefs {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(Self::of(parts))
    }
}
