//! `plateau instruments`: the register of instruments that readings are made with.

use crate::Done;
use crate::cli::ShopArgs;
use crate::failure::Failure;
use crate::files::shop_folder;
use clap::{Args, Subcommand};
use notebook::Notebook;
use record::instrument::Register;
use std::io::Write;
use std::path::PathBuf;
use store::Store;

/// `plateau instruments`.
#[derive(Debug, Args)]
pub(crate) struct InstrumentsArgs {
    #[command(subcommand)]
    pub(crate) verb: InstrumentsVerb,
}

/// What to do about the register.
#[derive(Debug, Subcommand)]
pub(crate) enum InstrumentsVerb {
    /// Print the register as TOML: the shop's own, or the one to start from
    Show {
        #[command(flatten)]
        shop: ShopArgs,
    },
    /// Keep a file as the shop's register; sheets that were begun before keep what they say
    Set {
        /// The register
        #[arg(value_name = "FILE.toml")]
        file: PathBuf,
        #[command(flatten)]
        shop: ShopArgs,
        /// Who changes it
        #[arg(long, value_name = "NAME", default_value = "the shop")]
        author: String,
    },
}

/// Shows or sets.
pub(crate) fn run(args: &InstrumentsArgs) -> Result<Done, Failure> {
    let mut out = anstream::stdout().lock();
    match &args.verb {
        InstrumentsVerb::Show { shop } => {
            let text = match shop_folder(shop)? {
                folder if shop.shop.is_none() && !folder.exists() => record::instrument::STARTER_TEXT.to_owned(),
                folder => Notebook::of(Store::open_existing(&folder)?).register()?.text,
            };
            write!(out, "{text}").map_err(Failure::output)?;
        }
        InstrumentsVerb::Set { file, shop, author } => {
            let text = std::fs::read_to_string(file).map_err(Failure::reading(file))?;
            let read = Register::parse(&text)
                .map_err(|e| Failure::Words(format!("{}: {e}; the register was left as it was", file.display())))?;
            let notebook = Notebook::of(Store::open(&shop_folder(shop)?)?);
            let before = notebook.register()?.revision;
            let kept = notebook.put_register(before, &text, author)?;
            writeln!(out, "Text {} of the register is kept: {} instruments", kept.revision, read.instruments.len())
                .map_err(Failure::output)?;
        }
    }
    Ok(Done::Well)
}
