//! The rows of a limit table.

use quantity::Dimension;

/// What an engine is built for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Use {
    /// Street without boost.
    Street,
    /// Street with boost.
    StreetBoosted,
    /// Drag.
    Drag,
    /// Endurance, circle track, road race.
    Endurance,
    /// Marine.
    Marine,
}

impl Use {
    /// Every use, in the order of the tables.
    pub const ALL: [Self; 5] = [Self::Street, Self::StreetBoosted, Self::Drag, Self::Endurance, Self::Marine];

    /// How a table writes it.
    pub fn key(self) -> &'static str {
        match self {
            Self::Street => "street",
            Self::StreetBoosted => "street_boosted",
            Self::Drag => "drag",
            Self::Endurance => "endurance",
            Self::Marine => "marine",
        }
    }

    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::StreetBoosted => "street, boosted",
            other => other.key(),
        }
    }

    /// The use that a table writes so.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|u| u.key() == key)
    }
}

/// How far a source can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Printed, and read for the table.
    Published,
    /// What the trade does, without a source.
    CommonPractice,
    /// A standard, text or habit remembered and not looked up.
    FromMemory,
    /// Worked out from other figures.
    Derived,
    /// The maker of the part or the shop itself says so.
    Stated,
}

impl Standing {
    /// Every standing.
    pub const ALL: [Self; 5] = [Self::Published, Self::CommonPractice, Self::FromMemory, Self::Derived, Self::Stated];

    /// How a table writes it, and what a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::CommonPractice => "common practice",
            Self::FromMemory => "from memory",
            Self::Derived => "derived",
            Self::Stated => "stated",
        }
    }
}

/// Where figures come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Short name used by the rows.
    pub tag: String,
    /// How far it can be trusted.
    pub standing: Standing,
    /// What it is.
    pub what: String,
}

/// What is measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Feature {
    /// Name used by the rows.
    pub key: String,
    /// What a person reads.
    pub name: String,
    /// Kind of quantity.
    pub kind: Dimension,
    /// The size that "per in" figures are multiplied by, if any.
    pub per: Option<String>,
    /// How it is measured, if that needs saying.
    pub how: Option<String>,
}

/// A figure as written, with its SI value.
#[derive(Debug, Clone, PartialEq)]
pub struct Stated {
    /// SI value; for a figure per size, SI value per metre of that size.
    pub si: f64,
    /// Whether it is to be multiplied by the feature's size.
    pub per_size: bool,
    /// As written.
    pub text: String,
}

/// One limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Key of the feature.
    pub feature: String,
    /// Uses it holds for; empty for all.
    pub uses: Vec<Use>,
    /// Material or kind of part, if it holds for one only.
    pub material: Option<String>,
    /// Conditions that must all be given: "nitrous", "aluminium rod".
    pub when: Vec<String>,
    /// Least allowed.
    pub min: Option<Stated>,
    /// Aimed at.
    pub target: Option<Stated>,
    /// Greatest allowed.
    pub max: Option<Stated>,
    /// Whether the row is only shown beside others, and never judged by.
    pub reference: bool,
    /// Tag of the source.
    pub source: String,
    /// What else is to be known.
    pub note: Option<String>,
    /// Title of the table it stands in.
    pub table: String,
    /// Line of that table, from 1.
    pub line: usize,
}

impl Limit {
    /// The figures as written: "0.8 thou per in to 1.0 thou per in, aim 0.9 thou per in".
    pub fn written(&self) -> String {
        let edges = match (&self.min, &self.max) {
            (Some(min), Some(max)) => format!("{} to {}", min.text, max.text),
            (Some(min), None) => format!("at least {}", min.text),
            (None, Some(max)) => format!("at most {}", max.text),
            (None, None) => String::new(),
        };
        match &self.target {
            Some(target) if edges.is_empty() => format!("aim {}", target.text),
            Some(target) => format!("{edges}, aim {}", target.text),
            None => edges,
        }
    }

    /// Its uses as a person reads them.
    pub fn used_for(&self) -> String {
        if self.uses.is_empty() {
            return "every use".to_owned();
        }
        self.uses.iter().map(|u| u.name()).collect::<Vec<_>>().join("; ")
    }
}

/// A table of limits with its features and sources.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LimitTable {
    /// What the table is called.
    pub title: String,
    /// What can be limited.
    pub features: Vec<Feature>,
    /// Where figures come from.
    pub sources: Vec<Source>,
    /// The rows.
    pub limits: Vec<Limit>,
}

impl LimitTable {
    /// The feature of a key.
    pub fn feature(&self, key: &str) -> Option<&Feature> {
        self.features.iter().find(|f| f.key == key)
    }

    /// The source of a tag.
    pub fn source(&self, tag: &str) -> Option<&Source> {
        self.sources.iter().find(|s| s.tag == tag)
    }
}
