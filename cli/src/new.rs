//! `new`: a file of an author's own, from a small one that works.

use groundside_engine::ident::Name;

use crate::args::{Begun, New};
use crate::files;
use crate::problem::Failure;
use crate::style::{Page, Tone, sentence};
use crate::{Exit, Io};

/// A vehicle to begin with; `{name}` and `{title}` are filled in.
const VEHICLE: &str = include_str!("new/vehicle.toml");
/// And a scenario, with `{vehicle}` besides.
const SCENARIO: &str = include_str!("new/scenario.toml");

/// `new`.
pub(crate) fn new(new: &New, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let (begun, text, next) = match new {
        New::Vehicle(begun) => {
            let text = filled(VEHICLE, &named(&begun.name)?);
            (begun, text, "then `groundside new scenario` for it")
        }
        New::Scenario { begun, vehicle } => {
            let (name, vehicle) = (named(&begun.name)?, named(vehicle)?);
            let text = filled(SCENARIO, &name).replace("{vehicle}", vehicle.as_str());
            (begun, text, "then `groundside practice` with it")
        }
    };
    let path = path(begun);
    files::write_new(&path, &text)?;
    let shown = path.display();
    let mut page = Page::of(Tone::Strong, format!("Wrote {shown}."));
    page.add(
        Tone::Quiet,
        format!("Change it as you like, check it by `groundside lint {shown}`, {next}."),
    );
    io.print(&page)?;
    Ok(Exit::Done)
}

/// A word that is to be an id.
fn named(word: &str) -> Result<Name, Failure> {
    Name::new(word).map_err(|error| {
        let shown: String = word.chars().take(60).collect();
        Failure::Misuse(format!("`{shown}` cannot be a name: {error}"))
    })
}

fn filled(template: &str, name: &Name) -> String {
    let title = sentence(&name.as_str().replace('-', " "));
    let text = template.replace("{name}", name.as_str());
    text.replace("{title}", &title)
}

fn path(begun: &Begun) -> std::path::PathBuf {
    let file = format!("{}.toml", begun.name);
    // The directory this is run in goes without saying.
    if begun.to.as_os_str() == "." {
        file.into()
    } else {
        begun.to.join(file)
    }
}
