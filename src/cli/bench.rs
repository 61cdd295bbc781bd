//! The shop, machine and stock that a command is about.

use super::{MessageFormat, Outcome, print_findings_of, say};
use crate::diagnostics::{Sink, near_names, quoted_list};
use crate::driver;
use crate::recipe::{LoadedShop, load_shop};
use crate::shop::{Machine, Shop, ShopEntry, Stock};
use crate::source::{DiskFiles, Sources};
use clap::Args;
use std::path::PathBuf;

/// Where the shop is.
#[derive(Clone, Debug, Args)]
pub(super) struct ShopArguments {
    /// The shop file, `NAME.shop.kdl`.
    #[arg(long, value_name = "FILE")]
    pub shop: PathBuf,
    /// Allows reading in this folder too; may be repeated.
    #[arg(long, value_name = "DIR")]
    pub also_read: Vec<PathBuf>,
    /// How findings in the shop file are written.
    #[arg(long, value_enum, default_value = "human", value_name = "FORMAT")]
    pub message_format: MessageFormat,
}

/// A shop file that was read without errors.
pub(super) struct OpenShop {
    pub loaded: LoadedShop,
    pub sources: Sources,
    pub files: DiskFiles,
}

impl ShopArguments {
    /// Reads the shop file; a file with errors is told of and refused.
    pub fn open(&self) -> Result<OpenShop, Outcome> {
        let files = DiskFiles::new(&driver::project_root(&self.shop), &self.also_read);
        let (mut sources, mut sink) = (Sources::default(), Sink::new());
        let loaded = load_shop(&self.shop, &files, &mut sources, &mut sink);
        sink.sort();
        print_findings_of(&sink, &sources, self.message_format);
        match loaded.filter(|_| !sink.has_errors()) {
            Some(loaded) => Ok(OpenShop { loaded, sources, files }),
            None => Err(Outcome::RecipeErrors),
        }
    }
}

/// The machine of a name, or the only one.
pub(super) fn machine<'a>(shop: &'a Shop, name: Option<&str>) -> Result<&'a Machine, Outcome> {
    one(&shop.machines, name, "--machine")
}

/// The stock of a name, or the only one.
pub(super) fn stock<'a>(shop: &'a Shop, name: Option<&str>) -> Result<&'a Stock, Outcome> {
    one(&shop.stocks, name, "--stock")
}

fn one<'a, T: ShopEntry>(all: &'a [T], name: Option<&str>, option: &str) -> Result<&'a T, Outcome> {
    let names = || all.iter().map(ShopEntry::name);
    let listed = quoted_list(names(), "and");
    let message = match (name, all) {
        (_, []) => format!("the shop file has no {}", T::WHAT),
        (None, [only]) => return Ok(only),
        (None, _) => format!("which {} is meant? say `{option}` with one of {listed}", T::WHAT),
        (Some(name), _) => {
            if let Some(found) = all.iter().find(|e| e.name() == name) {
                return Ok(found);
            }
            let near = near_names(name, names());
            let there = if near.is_empty() { listed } else { quoted_list(near, "or") };
            format!("the shop has no {} `{name}`; there is {there}", T::WHAT)
        }
    };
    say(&mut std::io::stderr(), &format!("error: {message}\n"));
    Err(Outcome::RecipeErrors)
}
