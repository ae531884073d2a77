//! The maker's sheet over the shop's table over what is shipped.

use super::table::{Feature, Limit, LimitTable, Source, Use};
use std::fmt;

/// Whose table it is; the later wins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// Came with the program.
    Shipped,
    /// The shop's own.
    Shop,
    /// The sheet of the part's maker.
    MakersSheet,
}

impl Layer {
    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::Shipped => "default",
            Self::Shop => "the shop's table",
            Self::MakersSheet => "the maker's sheet",
        }
    }
}

/// What a limit is wanted for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Query<'a> {
    /// Key of the feature.
    pub feature: &'a str,
    /// What the engine is built for.
    pub built_for: Use,
    /// Material or kind of part, if known.
    pub material: Option<&'a str>,
    /// Conditions that hold: "nitrous", "aluminium rod". Those that no row names are left aside.
    pub conditions: &'a [&'a str],
}

/// Tables over each other.
#[derive(Debug, Clone, Default)]
pub struct Layers<'a> {
    tables: Vec<(Layer, &'a LimitTable)>,
}

/// A limit that was found, where it comes from, and what it overrides.
#[derive(Debug, Clone, PartialEq)]
pub struct Found<'a> {
    /// The limit.
    pub limit: &'a Limit,
    /// Whose table.
    pub layer: Layer,
    /// Its feature.
    pub feature: &'a Feature,
    /// Its source.
    pub source: &'a Source,
    /// Limits of lower layers that it overrides, nearest first.
    pub overrides: Vec<(Layer, &'a Limit)>,
    /// Conditions asked for that other rows of this feature name and this one does not: it was not made
    /// for them.
    pub not_considered: Vec<String>,
}

/// Where the limit comes from, in one sentence.
impl fmt::Display for Found<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.feature.name, self.limit.written())?;
        if let Some(per) = self.feature.per.as_ref().filter(|_| self.limit.written().contains(" per ")) {
            write!(f, " ({per})")?;
        }
        write!(f, ", for {}", self.limit.used_for())?;
        if let Some(material) = &self.limit.material {
            write!(f, ", {material}")?;
        }
        if !self.limit.when.is_empty() {
            write!(f, ", with {}", self.limit.when.join(" and "))?;
        }
        write!(f, "; from {}, \"{}\", line {}", self.layer.name(), self.limit.table, self.limit.line)?;
        write!(f, "; source {} ({}): {}", self.source.tag, self.source.standing.name(), self.source.what)?;
        if !self.not_considered.is_empty() {
            write!(f, "; takes no notice of: {}", self.not_considered.join(", "))?;
        }
        for (layer, limit) in &self.overrides {
            write!(f, "; overrides {}: {}", layer.name(), limit.written())?;
        }
        Ok(())
    }
}

/// Why no limit was found.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FindError {
    /// No table knows the feature.
    #[error("no limit table knows the feature `{feature}`{}", .suggestion.as_ref().map_or(String::new(), |s| format!("; {s}")))]
    FeatureUnknown {
        /// Key asked for.
        feature: String,
        /// What may have been meant.
        suggestion: Option<String>,
    },
    /// The feature is known, and no row fits.
    #[error("no limit for {feature}, {built_for}{}: rows exist for {available}", .material.as_ref().map_or(", no material named".to_owned(), |m| format!(", {m}")))]
    NoRow {
        /// Name of the feature.
        feature: String,
        /// The use asked for.
        built_for: &'static str,
        /// The material asked for.
        material: Option<String>,
        /// What there is.
        available: String,
    },
    /// Two rows of one layer fit equally well.
    #[error(
        "two limits for {feature} fit equally well in {layer}: {first} (line {first_line}) and {second} (line {second_line}); name the material, or leave out the condition that matters less"
    )]
    TwoRows {
        /// Name of the feature.
        feature: String,
        /// Whose table, and its title.
        layer: String,
        /// The first as written.
        first: String,
        /// Its line.
        first_line: usize,
        /// The second as written.
        second: String,
        /// Its line.
        second_line: usize,
    },
}

impl<'a> Layers<'a> {
    /// Only the shipped table, or another as the lowest layer.
    pub fn over(shipped: &'a LimitTable) -> Self {
        Self { tables: vec![(Layer::Shipped, shipped)] }
    }

    /// With a table of another layer. Several sheets of makers lie beside each other.
    #[must_use]
    pub fn with(mut self, layer: Layer, table: &'a LimitTable) -> Self {
        self.tables.push((layer, table));
        self
    }

    /// The limit that counts.
    ///
    /// Within a layer the row that names most wins: conditions before material before use. Of two that
    /// name as much and have the same figures the first is taken. Across layers
    /// the higher layer wins, however little it names.
    ///
    /// # Errors
    /// [`FindError`] with what was asked for and what there is.
    pub fn find(&self, query: &Query<'_>) -> Result<Found<'a>, FindError> {
        let feature = self.tables.iter().find_map(|(_, t)| t.feature(query.feature)).ok_or_else(|| {
            let keys: Vec<&str> =
                self.tables.iter().flat_map(|(_, t)| t.features.iter().map(|f| f.key.as_str())).collect();
            let suggestion = quantity::written::suggestion(query.feature, keys);
            FindError::FeatureUnknown { feature: query.feature.to_owned(), suggestion }
        })?;
        let mut winners = Vec::new();
        for layer in [Layer::MakersSheet, Layer::Shop, Layer::Shipped] {
            if let Some(winner) = self.best(layer, query, &feature.name)? {
                winners.push((layer, winner));
            }
        }
        let Some(&(layer, (table, limit))) = winners.first() else {
            return Err(self.no_row(query, feature));
        };
        // A sheet may use a source that a lower table declares.
        let source =
            table.source(&limit.source).or_else(|| self.tables.iter().find_map(|(_, t)| t.source(&limit.source)));
        let Some(source) = source else { return Err(self.no_row(query, feature)) };
        let overrides = winners[1..].iter().map(|&(layer, (_, limit))| (layer, limit)).collect();
        let named = |condition: &str, limit: &Limit| limit.when.iter().any(|w| w.eq_ignore_ascii_case(condition));
        let not_considered = query
            .conditions
            .iter()
            .filter(|c| !named(c, limit))
            .filter(|c| {
                let rows = self.tables.iter().flat_map(|(_, table)| &table.limits);
                rows.filter(|row| row.feature == query.feature && !row.reference).any(|row| named(c, row))
            })
            .map(|c| (*c).to_owned())
            .collect();
        Ok(Found { limit, not_considered, layer, feature, source, overrides })
    }

    /// Every row that holds for a use, whatever the material and conditions: feature, whose table, row.
    /// In the order of the features, the winning layer first; references are among them. For a page that
    /// shows where limits come from.
    pub fn rows_for(&self, built_for: Use) -> Vec<(&'a Feature, Layer, &'a Limit)> {
        let mut rows = Vec::new();
        for feature in self.tables.iter().flat_map(|(_, table)| &table.features) {
            for layer in [Layer::MakersSheet, Layer::Shop, Layer::Shipped] {
                let of_layer = self.tables.iter().filter(|(of, _)| *of == layer).flat_map(|(_, table)| &table.limits);
                let held = of_layer
                    .filter(|limit| limit.feature == feature.key)
                    .filter(|limit| limit.uses.is_empty() || limit.uses.contains(&built_for));
                rows.extend(held.map(|limit| (feature, layer, limit)));
            }
        }
        rows
    }

    /// Rows to compare with: references that fit the use, highest layer first.
    pub fn references(&self, feature: &str, built_for: Use) -> Vec<(Layer, &'a Limit)> {
        let mut rows: Vec<(Layer, &Limit)> = self
            .tables
            .iter()
            .flat_map(|(layer, table)| table.limits.iter().map(|limit| (*layer, limit)))
            .filter(|(_, limit)| limit.reference && limit.feature == feature)
            .filter(|(_, limit)| limit.uses.is_empty() || limit.uses.contains(&built_for))
            .collect();
        rows.sort_by_key(|row| std::cmp::Reverse(row.0));
        rows
    }

    fn best(
        &self,
        layer: Layer,
        query: &Query<'_>,
        name: &str,
    ) -> Result<Option<(&'a LimitTable, &'a Limit)>, FindError> {
        let mut best: Option<(&LimitTable, &Limit)> = None;
        for (_, table) in self.tables.iter().filter(|(of, _)| *of == layer) {
            for limit in table.limits.iter().filter(|limit| fits(limit, query)) {
                let Some((_, held)) = best else {
                    best = Some((table, limit));
                    continue;
                };
                if rank(limit) == rank(held) && !same_figures(limit, held) {
                    return Err(FindError::TwoRows {
                        feature: name.to_owned(),
                        layer: format!("{} \"{}\"", layer.name(), held.table),
                        first: held.written(),
                        first_line: held.line,
                        second: limit.written(),
                        second_line: limit.line,
                    });
                }
                if rank(limit) > rank(held) {
                    best = Some((table, limit));
                }
            }
        }
        Ok(best)
    }

    fn no_row(&self, query: &Query<'_>, feature: &Feature) -> FindError {
        let mut available: Vec<String> = Vec::new();
        for (_, table) in &self.tables {
            for limit in table.limits.iter().filter(|l| l.feature == query.feature && !l.reference) {
                let mut said = limit.used_for();
                for word in limit.material.iter().chain(&limit.when) {
                    said.push_str(", ");
                    said.push_str(word);
                }
                if !available.contains(&said) {
                    available.push(said);
                }
            }
        }
        FindError::NoRow {
            feature: feature.name.clone(),
            built_for: query.built_for.name(),
            material: query.material.map(str::to_owned),
            available: if available.is_empty() { "no use at all".to_owned() } else { available.join(" / ") },
        }
    }
}

fn fits(limit: &Limit, query: &Query<'_>) -> bool {
    limit.feature == query.feature
        && !limit.reference
        && (limit.uses.is_empty() || limit.uses.contains(&query.built_for))
        && limit.material.as_deref().is_none_or(|m| query.material.is_some_and(|q| q.eq_ignore_ascii_case(m)))
        && limit.when.iter().all(|w| query.conditions.iter().any(|c| c.eq_ignore_ascii_case(w)))
}

fn same_figures(a: &Limit, b: &Limit) -> bool {
    (&a.min, &a.target, &a.max) == (&b.min, &b.target, &b.max)
}

fn rank(limit: &Limit) -> (usize, bool, bool) {
    (limit.when.len(), limit.material.is_some(), !limit.uses.is_empty())
}
