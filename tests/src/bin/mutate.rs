//! Changes the engine on purpose, one constant, sign or connection at a time, and sees to it that a named
//! test notices. Works on a copy of the tree; the tree itself is never touched.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a program for people to run"
)]

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Output};
use std::time::Instant;

use clap::Parser;
use groundside_tests::fleet::folder;
use serde::Deserialize;

/// Applies each mutation of tests/mutations.toml to a copy of the tree and runs the test that is to kill it.
/// Exits with 1 when one survives.
#[derive(Debug, Parser)]
struct Arguments {
    /// Only mutations whose name contains this.
    #[arg(value_name = "NAME")]
    names: Vec<String>,
    /// Run every test on each mutation and list all that fail.
    #[arg(long)]
    all_killers: bool,
    /// Where the copy and its build are kept between runs.
    #[arg(long, value_name = "FOLDER")]
    folder: Option<PathBuf>,
}

/// The list as written.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct List {
    mutation: Vec<Mutation>,
}

/// One change, and what notices it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Mutation {
    /// What is changed, in words.
    name: String,
    /// File, from the top of the tree.
    file: PathBuf,
    /// Text in it, which stands there once.
    find: String,
    /// What stands in its place.
    replace: String,
    /// The test that must fail, as `cargo test` prints it; in one of [`BINARIES`].
    #[serde(default)]
    killer: String,
    /// Why no test can notice it, where that is so.
    #[serde(default)]
    survives: String,
}

/// Where tests are, by the word that stands before a killer: package and target.
const BINARIES: [(&str, &[&str]); 3] = [
    ("truth", &["--package", "groundside-tests", "--lib"]),
    (
        "suite",
        &["--package", "groundside-tests", "--test", "suite"],
    ),
    ("engine", &["--package", "groundside-engine", "--lib"]),
];

/// What became of a mutation.
enum Fate {
    Killed,
    Explained,
    Survived,
    Unfit(String),
}

fn main() -> ExitCode {
    match run(&Arguments::parse()) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::from(1),
        Err(error) => {
            eprintln!("error: {error}");
            ExitCode::from(2)
        }
    }
}

fn run(arguments: &Arguments) -> io::Result<bool> {
    let top = folder(".").canonicalize()?;
    let text = fs::read_to_string(top.join("tests/mutations.toml"))?;
    let list: List = toml::from_str(&text).map_err(io::Error::other)?;
    let work = arguments
        .folder
        .clone()
        .unwrap_or_else(|| top.join("target/mutations"));
    let tree = work.join("tree");
    copy(&top, &tree)?;
    let bench = Bench {
        tree,
        build: work.join("build"),
    };
    let wanted = |mutation: &&Mutation| {
        let names = &arguments.names;
        names.is_empty()
            || names
                .iter()
                .any(|name| mutation.name.contains(name.as_str()))
    };
    let mutations: Vec<&Mutation> = list.mutation.iter().filter(wanted).collect();
    bench.must_pass(&mutations)?;
    println!("| mutation | file | killed by | s |\n|---|---|---|---|");
    let mut survivors = 0;
    for mutation in &mutations {
        let started = Instant::now();
        let fate = bench.with(mutation, || {
            if arguments.all_killers {
                bench.all_killers()
            } else {
                bench.fate(mutation)
            }
        })?;
        let told = match &fate {
            Fate::Killed => format!("`{}`", mutation.killer),
            Fate::Explained => format!("nothing: {}", mutation.survives),
            Fate::Survived => "**NOTHING**".to_owned(),
            Fate::Unfit(why) => format!("**{why}**"),
        };
        survivors += u32::from(matches!(fate, Fate::Survived | Fate::Unfit(_)));
        println!(
            "| {} | `{}` | {told} | {:.0} |",
            mutation.name,
            mutation.file.display(),
            started.elapsed().as_secs_f64()
        );
    }
    println!(
        "\n{} mutations, {survivors} not as the list says.",
        mutations.len()
    );
    Ok(survivors == 0)
}

/// The copy of the tree and where it is built.
struct Bench {
    tree: PathBuf,
    build: PathBuf,
}

impl Bench {
    /// Does something while a mutation stands, and puts the file back.
    fn with(
        &self,
        mutation: &Mutation,
        act: impl FnOnce() -> io::Result<Fate>,
    ) -> io::Result<Fate> {
        let path = self.tree.join(&mutation.file);
        let sound = fs::read_to_string(&path)?;
        let places = sound.matches(mutation.find.as_str()).count();
        if places != 1 {
            return Ok(Fate::Unfit(format!("the text stands there {places} times")));
        }
        fs::write(&path, sound.replace(&mutation.find, &mutation.replace))?;
        let fate = act();
        fs::write(&path, sound)?;
        fate
    }

    fn fate(&self, mutation: &Mutation) -> io::Result<Fate> {
        let Some((target, test)) = target_of(&mutation.killer) else {
            let explained = !mutation.survives.is_empty();
            return Ok(if explained {
                Fate::Explained
            } else {
                Fate::Unfit(format!("`{}` names no test", mutation.killer))
            });
        };
        let output = self.test(target, &[test, "--exact"])?;
        let text = String::from_utf8_lossy(&output.stdout);
        // A table that is refused says that something is other than before, not that it is wrong.
        let refused = text.contains("makes it anew") || text.contains("not for what is asked now");
        Ok(if text.contains("1 failed") && refused {
            Fate::Unfit("a kept table was refused".to_owned())
        } else if text.contains("1 failed") {
            Fate::Killed
        } else if text.contains("1 passed") {
            Fate::Survived
        } else {
            Fate::Unfit(first_error(&output))
        })
    }

    /// Prints every test that fails.
    fn all_killers(&self) -> io::Result<Fate> {
        let mut killers = Vec::new();
        for (word, target) in BINARIES {
            let output = self.test(target, &[])?;
            let text = String::from_utf8_lossy(&output.stdout).into_owned();
            if !text.contains("test result") {
                return Ok(Fate::Unfit(first_error(&output)));
            }
            let failed = text.lines().filter_map(|line| {
                let test = line.strip_prefix("test ")?.strip_suffix(" ... FAILED")?;
                Some(format!("{word} {test}"))
            });
            killers.extend(failed);
        }
        for killer in &killers {
            println!("  {killer}");
        }
        Ok(if killers.is_empty() {
            Fate::Survived
        } else {
            Fate::Killed
        })
    }

    /// Every killer passes on the sound tree: a test that fails anyway notices nothing.
    fn must_pass(&self, mutations: &[&Mutation]) -> io::Result<()> {
        for (word, target) in BINARIES {
            let killers = mutations.iter().filter_map(|mutation| {
                let (of, test) = mutation.killer.split_once(' ')?;
                (of == word).then_some(test)
            });
            let mut tests: Vec<&str> = killers.collect();
            tests.sort_unstable();
            tests.dedup();
            if tests.is_empty() {
                continue;
            }
            let count = tests.len();
            tests.push("--exact");
            let output = self.test(target, &tests)?;
            let text = String::from_utf8_lossy(&output.stdout);
            if !text.contains(&format!("ok. {count} passed")) {
                let why = format!(
                    "not all of the {count} killers in `{word}` pass on the sound tree:\n{text}"
                );
                return Err(io::Error::other(why + &first_error(&output)));
            }
        }
        Ok(())
    }

    fn test(&self, target: &[&str], filter: &[&str]) -> io::Result<Output> {
        Command::new("cargo")
            .args(["test", "--quiet", "--profile", "mutation", "--locked"])
            .args(target)
            .arg("--")
            .args(["--format", "pretty"])
            .args(filter)
            .current_dir(&self.tree)
            .env("CARGO_TARGET_DIR", &self.build)
            .env("INSTA_UPDATE", "no")
            .output()
    }
}

/// Target and name of the test that a killer names.
fn target_of(killer: &str) -> Option<(&'static [&'static str], &str)> {
    let (word, test) = killer.split_once(' ')?;
    let (_, target) = BINARIES.into_iter().find(|(name, _)| *name == word)?;
    Some((target, test))
}

fn first_error(output: &Output) -> String {
    let text = String::from_utf8_lossy(&output.stderr);
    let error = text.lines().find(|line| line.starts_with("error"));
    error.unwrap_or("nothing was run").to_owned()
}

/// Brings the copy up to date with the files that are under version control or new. What has not changed
/// is not touched, so that little is built anew.
fn copy(top: &Path, tree: &Path) -> io::Result<()> {
    let listed = Command::new("git")
        .args(["ls-files", "--cached", "--others", "--exclude-standard"])
        .current_dir(top)
        .output()?;
    let listed = String::from_utf8_lossy(&listed.stdout).into_owned();
    for file in listed.lines() {
        let (from, to) = (top.join(file), tree.join(file));
        let Ok(content) = fs::read(&from) else {
            // Listed and deleted since.
            continue;
        };
        if fs::read(&to).is_ok_and(|old| old == content) {
            continue;
        }
        if let Some(parent) = to.parent() {
            fs::create_dir_all(parent)?;
        }
        fs::write(to, content)?;
    }
    Ok(())
}
