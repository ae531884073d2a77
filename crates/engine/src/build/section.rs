//! The pattern of every section of a build: fields with their kind, so that file, documentation and
//! arithmetic share one list.

use super::input::{Input, Kind};

/// One field as the file knows it.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Key in the file.
    pub key: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// One sentence.
    pub doc: &'static str,
}

/// What a field takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Takes {
    /// A value with a unit.
    Value(Kind),
    /// Several values: a list of texts, or one text with the unit at its end.
    Values(Kind),
    /// Crank degrees at a stated check lift, one or several.
    Checked,
    /// Words.
    Words,
    /// A whole number above zero.
    Count,
    /// A list of whole numbers.
    Counts,
    /// A list of lists of whole numbers.
    CountLists,
}

/// What every section can do.
pub(crate) trait Section: Default {
    /// Its fields in the order of the file.
    fn fields() -> &'static [Field];
    /// The place of a value.
    fn value_mut(&mut self, key: &str) -> Option<&mut Option<Input>>;
    /// A value by its key.
    fn value(&self, key: &str) -> Option<&Input>;
    /// The place of words.
    fn words_mut(&mut self, key: &str) -> Option<&mut Option<String>>;
    /// The place of a count.
    fn count_mut(&mut self, key: &str) -> Option<&mut Option<u32>>;
    /// The place of several values.
    fn values_mut(&mut self, key: &str) -> Option<&mut Vec<Input>>;
}

macro_rules! section {
    ($(#[$doc:meta])* $name:ident
        values { $($(#[doc = $vdoc:literal])+ $value:ident : $kind:ident,)* }
        lists { $($(#[doc = $ldoc:literal])+ $list:ident : $lkind:ident,)* }
        words { $($(#[doc = $wdoc:literal])+ $word:ident,)* }
        counts { $($(#[doc = $cdoc:literal])+ $count:ident,)* }
        extra { $($(#[doc = $edoc:literal])+ $extra:ident : $ty:ty = $takes:expr,)* }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Default, PartialEq)]
        pub struct $name {
            $($(#[doc = $vdoc])+ pub $value: Option<$crate::build::Input>,)*
            $($(#[doc = $ldoc])+ pub $list: Vec<$crate::build::Input>,)*
            $($(#[doc = $wdoc])+ pub $word: Option<String>,)*
            $($(#[doc = $cdoc])+ pub $count: Option<u32>,)*
            $($(#[doc = $edoc])+ pub $extra: $ty,)*
        }
        impl $crate::build::section::Section for $name {
            fn fields() -> &'static [$crate::build::section::Field] {
                use $crate::build::section::{Field, Takes};
                use $crate::build::Kind;
                const FIELDS: &[Field] = &[
                    $(Field { key: stringify!($word), takes: Takes::Words, doc: concat!($($wdoc),+) },)*
                    $(Field { key: stringify!($count), takes: Takes::Count, doc: concat!($($cdoc),+) },)*
                    $(Field { key: stringify!($value), takes: Takes::Value(Kind::$kind), doc: concat!($($vdoc),+) },)*
                    $(Field { key: stringify!($list), takes: Takes::Values(Kind::$lkind), doc: concat!($($ldoc),+) },)*
                    $(Field { key: stringify!($extra), takes: $takes, doc: concat!($($edoc),+) },)*
                ];
                let _ = |k: Kind| k;
                FIELDS
            }
            fn value_mut(&mut self, key: &str) -> Option<&mut Option<$crate::build::Input>> {
                match key { $(stringify!($value) => Some(&mut self.$value),)* _ => None }
            }
            fn value(&self, key: &str) -> Option<&$crate::build::Input> {
                match key { $(stringify!($value) => self.$value.as_ref(),)* _ => None }
            }
            fn words_mut(&mut self, key: &str) -> Option<&mut Option<String>> {
                match key { $(stringify!($word) => Some(&mut self.$word),)* _ => None }
            }
            fn count_mut(&mut self, key: &str) -> Option<&mut Option<u32>> {
                match key { $(stringify!($count) => Some(&mut self.$count),)* _ => None }
            }
            fn values_mut(&mut self, key: &str) -> Option<&mut Vec<$crate::build::Input>> {
                match key { $(stringify!($list) => Some(&mut self.$list),)* _ => None }
            }
        }
    };
}
pub(crate) use section;
