//! `plateau guards`: the guard rules that logs are judged by.

use crate::Done;
use crate::cli::{GuardsArgs, GuardsVerb};
use crate::failure::Failure;
use crate::files::shop_folder;
use std::io::Write;
use std::path::Path;
use store::Store;

/// Shows or sets.
pub(crate) fn run(args: &GuardsArgs) -> Result<Done, Failure> {
    match &args.verb {
        // A shop nobody names need not be there: then the rules are those that come with the tool.
        GuardsVerb::Show { shop } => match shop_folder(shop)? {
            folder if shop.shop.is_none() && !folder.exists() => show(None),
            folder => show(Some(&Store::open_existing(&folder)?)),
        },
        GuardsVerb::Set { file, shop } => set(&Store::open(&shop_folder(shop)?)?, file),
    }
}

fn show(store: Option<&Store>) -> Result<Done, Failure> {
    let text = match store.map(takein::guard_text).transpose()?.flatten() {
        Some(kept) => kept.value,
        None => String::new(),
    };
    let list = pull::guard::list(&text)
        .map_err(|error| takein::TakeInError::BadGuards { name: "the shop's guard rules".to_owned(), error })?;
    write!(anstream::stdout().lock(), "{list}").map_err(Failure::output)?;
    Ok(Done::Well)
}

fn set(store: &Store, path: &Path) -> Result<Done, Failure> {
    let text = std::fs::read_to_string(path).map_err(Failure::reading(path))?;
    let kept = takein::set_guards(store, &path.display().to_string(), &text)?;
    let rules = takein::guards(store)?;
    let mut out = anstream::stdout().lock();
    writeln!(
        out,
        "Text {} of the shop's guard rules is kept: {} rules are in force, {} switched off. It counts for every run.",
        kept.revision,
        rules.in_force().count(),
        rules.off.len()
    )
    .map_err(Failure::output)?;
    Ok(Done::Well)
}
