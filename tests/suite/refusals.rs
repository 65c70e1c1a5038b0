//! Bad input, one complaint each: what is wrong, where, and what instead; exit 2, and nothing lost.

use std::ffi::OsString;
use std::fs;
use std::io::Cursor;
use std::path::Path;

use groundside::{Exit, Host, Io, run};

/// Runs the program: how it ended, its output and its errors.
fn ran(arguments: &[&str], typed: &str) -> (Exit, String, String) {
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let arguments = std::iter::once("groundside")
        .chain(arguments.iter().copied())
        .map(OsString::from);
    let exit = run(
        arguments,
        &mut Io {
            input: Box::new(Cursor::new(typed.as_bytes().to_vec())),
            output: Box::new(&mut output),
            errors: Box::new(&mut errors),
            host: Host::default(),
        },
    );
    (
        exit,
        String::from_utf8(output).unwrap(),
        String::from_utf8(errors).unwrap(),
    )
}

fn refused(arguments: &[&str]) -> String {
    let (exit, output, errors) = ran(arguments, "");
    assert_eq!(exit, Exit::Misuse, "{arguments:?}: {output}{errors}");
    assert_eq!(output, "", "{arguments:?}");
    errors
}

#[test]
fn names_that_are_not_there() {
    let mut all = String::new();
    for arguments in [
        &["practice", "rain-on-the-key"][..],
        &["show", "van-case-grund"],
        &["list", "faults", "van"],
        &["practice", "--fault", "wiper-braker.open"],
        &["practice", "--fault", "wiper-breaker.opne"],
        &["practice", "--fault", "wiper-breaker"],
        &["practice", "--fault", "motor-strap.high-resistance:-1"],
        &["practice", "--fault", "motor-strap.open:2"],
        &["practice", "--fault", "bulkhead.h-open"],
        &["solve", "van-case-ground", "--key", "strat"],
        &[
            "solve",
            "van-case-ground",
            "--volts",
            "motor 53",
            "motor 99",
        ],
        &["solve", "van-case-ground", "--unplug", "motor-plgu"],
        &["practise"],
        &["replay", "no-such-file.jsonl"],
    ] {
        all.push_str(&format!(
            "$ groundside {}\n{}\n",
            arguments.join(" "),
            refused(arguments)
        ));
    }
    // Messages about a file show its line as it is; these have none, and keep to the screen.
    assert!(
        all.lines()
            .filter(|line| !line.starts_with('$'))
            .all(|line| line.chars().count() <= 80),
        "{all}"
    );
    insta::assert_snapshot!(all);
}

#[test]
fn typed_lines_that_are_no_commands() {
    let lines = "volts motr 53\nvolts motor 99\nvolts motor\nwipr low\nwiper lwo\ngo moon\nunplug horn\nconclude motor\n\
                 conclude motor low bruch worn\nrepair body\nclamp motor\nwait 9999 s\nxyzzy\nvolts motor 53 motor 53\n";
    let (exit, output, errors) = ran(&["practice", "--seed", "7"], lines);
    assert_eq!(exit, Exit::Done, "{errors}");
    let replies = output.split_once("\n> ").map_or("", |(_, rest)| rest);
    insta::assert_snapshot!(replies);
}

/// A scenario and a vehicle in a folder of their own, the vehicle changed in one place.
fn broken_vehicle(folder: &Path, from: &str, to: &str) -> String {
    let vehicle = include_str!("../../scenarios/van-case-ground.toml");
    assert!(vehicle.contains(from), "{from}");
    let path = folder.join("van.toml");
    fs::write(&path, vehicle.replacen(from, to, 1)).unwrap();
    let path = path.to_str().unwrap();
    let errors = refused(&["show", path]);
    errors.replace(path, "van.toml")
}

#[test]
fn broken_vehicle_files() {
    let folder = tempfile::tempdir().unwrap();
    let mut all = String::new();
    for (what, from, to) in [
        ("an unknown key", "\nlength_m = 0.348", "\nlenght_m = 0.348"),
        (
            "a dangling wire",
            "to = \"fusible-link in\"",
            "to = \"fusible-lnk in\"",
        ),
        (
            "a terminal that is not there",
            "to = \"fusible-link in\"",
            "to = \"fusible-link inn\"",
        ),
        (
            "a number that is none",
            "open_circuit_v = 12.6",
            "open_circuit_v = nan",
        ),
        (
            "a number out of range",
            "open_circuit_v = 12.6",
            "open_circuit_v = 1e9",
        ),
        (
            "a colour that is none",
            "colour = \"RD\"",
            "colour = \"PURPLE\"",
        ),
        ("a linkage that locks", "crank_m = 0.067", "crank_m = 0.09"),
        ("a file cut short", "[battery.", "[battery"),
        ("another format", "format = 1", "format = 2"),
    ] {
        all.push_str(&format!(
            "# {what}\n{}\n",
            broken_vehicle(folder.path(), from, to)
        ));
    }
    insta::assert_snapshot!(all);
}

#[test]
fn a_vehicle_without_a_ground_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let vehicle = include_str!("../../scenarios/van-case-ground.toml");
    let start = vehicle.find("[battery.").unwrap();
    let length = vehicle[start + 1..].find("\n[").unwrap() + 2;
    let path = folder.path().join("van.toml");
    fs::write(
        &path,
        format!("{}{}", &vehicle[..start], &vehicle[start + length..]),
    )
    .unwrap();
    let errors = refused(&["show", path.to_str().unwrap()]);
    assert!(errors.contains("missing-ground"), "{errors}");
}

#[test]
fn an_existing_record_is_never_overwritten_and_a_damaged_one_never_touched() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.jsonl");
    let name = path.to_str().unwrap();
    let (exit, _, errors) = ran(
        &["practice", "--seed", "7", "--record", name],
        "key on; low; look\nconclude motor magnets weak\n",
    );
    assert_eq!(exit, Exit::Done, "{errors}");
    let whole = fs::read_to_string(&path).unwrap();

    assert!(refused(&["practice", "--record", name]).contains("record.jsonl"));
    assert_eq!(fs::read_to_string(&path).unwrap(), whole);

    let (exit, _, _) = ran(&["replay", name], "");
    assert_eq!(exit, Exit::Done);

    let damaged = whole.replacen("\"n\":3", "\"n\":4", 1);
    fs::write(&path, &damaged).unwrap();
    for command in [
        &["replay", name][..],
        &["debrief", name],
        &["practice", "--resume", name],
    ] {
        let errors = refused(command);
        assert!(errors.contains('4') && errors.contains("chain"), "{errors}");
    }
    assert_eq!(fs::read_to_string(&path).unwrap(), damaged);
}

#[test]
fn a_record_cut_by_a_crash_is_resumed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.jsonl");
    let name = path.to_str().unwrap();
    // `pause` leaves the attempt open, as a kill does.
    let (exit, _, errors) = ran(
        &["practice", "--seed", "7", "--record", name],
        "key on; low; look\npause\n",
    );
    assert_eq!(exit, Exit::Done, "{errors}");
    let whole = fs::read_to_string(&path).unwrap();
    let torn = format!("{whole}{{\"n\":4,\"acti");
    fs::write(&path, &torn).unwrap();
    let (exit, output, errors) = ran(&["practice", "--resume", name], "look\npause\n");
    assert_eq!(exit, Exit::Done, "{errors}");
    assert!(
        output.contains("cut off") || errors.contains("cut off"),
        "{output}{errors}"
    );
    let after = fs::read_to_string(&path).unwrap();
    assert!(
        after.starts_with(&whole) && after.lines().count() == whole.lines().count() + 1,
        "{after}"
    );
    assert_eq!(ran(&["replay", name], "").0, Exit::Done);
}
