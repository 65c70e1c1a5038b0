//! `lint` and `new` as they are called.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use crate::{Exit, Host, Io, run};

const VAN: &str = include_str!("../../../scenarios/van-case-ground.toml");
const QUAY: &str = include_str!("../../../scenarios/rain-on-the-quay.toml");

/// Runs the program and gives its end, output and errors.
fn called(arguments: &[&str]) -> (Exit, String, String) {
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let mut io = Io {
        input: Box::new(std::io::empty()),
        output: Box::new(&mut output),
        errors: Box::new(&mut errors),
        host: Host::default(),
    };
    let arguments = std::iter::once("groundside").chain(arguments.iter().copied());
    let exit = run(arguments.map(OsString::from), &mut io);
    drop(io);
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (exit, text(output), text(errors))
}

/// A directory with files in it, and the path of each.
fn directory(files: &[(&str, &str)]) -> (tempfile::TempDir, Vec<String>) {
    let dir = tempfile::tempdir().unwrap();
    let written = |(name, text): &(&str, &str)| {
        let path = dir.path().join(name);
        fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let paths = files.iter().map(written).collect();
    (dir, paths)
}

fn word(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The van by another id, so that it is not taken for the shipped one.
fn own_van() -> String {
    VAN.replace("id = \"van-case-ground\"", "id = \"yard-van\"")
}

/// A scenario for it, whose pool is quick to try.
fn own_quay() -> String {
    let quay = QUAY.replace("vehicle = \"van-case-ground\"", "vehicle = \"yard-van\"");
    let (head, _) = quay.split_once("[complaints]").unwrap();
    let pool = "pool = [\"motor-plug.53-open\", \"motor-plug.53b-open\"]";
    let head = head.replace("helper = true", &format!("{pool}\nhelper = true"));
    format!("{head}[complaints]\nno-low = \"Slow is gone.\"\nno-high = \"Fast is gone.\"\n")
}

#[test]
fn every_finding_of_every_file_is_told_and_summed_up() {
    let many = format!("{VAN}\n[lamp.one]\n");
    let keys: String = (0..14).map(|n| format!("odd{n} = {n}\n")).collect();
    let many = many.replace("format = 1\n", &format!("format = 1\n{keys}"));
    let (dir, _) = directory(&[("a.toml", &many), ("b.toml", &own_van()), ("c.txt", "none")]);
    let (exit, output, errors) = called(&["lint", word(dir.path())]);
    assert_eq!((exit, errors.as_str()), (Exit::FallsShort, ""));
    // Fifteen are more than other commands show at a time.
    for told in ["odd0", "odd13", "`lamp` is not a kind", "a.toml:", "^^^"] {
        assert!(output.contains(told), "{told}: {output}");
    }
    assert_eq!(output.matches("error[").count(), 15, "{output}");
    assert!(
        output.ends_with("2 files, 15 errors, 0 warnings\n"),
        "{output}"
    );
}

#[test]
fn a_screen_reader_hears_a_sentence_for_each_finding() {
    let text = VAN.replace("rated_v = 12", "rated_volts = 12");
    let (_dir, paths) = directory(&[("van.toml", &text)]);
    let (exit, output, _) = called(&["lint", "--plain", &paths[0]]);
    assert_eq!(exit, Exit::FallsShort);
    let line = output
        .lines()
        .find(|line| line.contains("unknown-key"))
        .unwrap();
    let at = text
        .lines()
        .position(|line| line.starts_with("rated_volts"))
        .unwrap()
        + 1;
    let expected = format!(
        "{}, line {at}, column 1: error unknown-key: `rated_volts` is not a key of consumer horn. \
         Suggestion: did you mean `rated_v`?",
        paths[0]
    );
    assert_eq!(line, expected);
    for drawn in ["^", "|", "-->", "\u{2502}"] {
        assert!(!output.contains(drawn), "{drawn}: {output}");
    }
    assert!(
        output.ends_with("1 file, 6 errors, 0 warnings\n"),
        "{output}"
    );
}

#[test]
fn programs_get_places_with_their_ends() {
    let text = VAN.replace("colour = \"BKVT\"", "colour = \"VTBK\"");
    let (_dir, paths) = directory(&[("van.toml", &text)]);
    let (exit, output, _) = called(&["lint", "--format", "json", &paths[0]]);
    assert_eq!(exit, Exit::FallsShort);
    let rows: Vec<serde_json::Value> = serde_json::from_str(&output).unwrap();
    assert_eq!(rows.len(), 1, "{output}");
    let at = text.lines().position(|line| line.contains("VTBK")).unwrap() + 1;
    let row = &rows[0];
    assert_eq!(row["file"], paths[0].as_str());
    assert_eq!(row["code"], "bad-colour");
    assert_eq!(row["severity"], "error");
    let places = ["line", "column", "end_line", "end_column"].map(|key| row[key].as_u64().unwrap());
    assert_eq!(places, [at as u64, 10, at as u64, 16]);
    assert!(
        row["message"].is_string() && row["help"].is_string(),
        "{row}"
    );
}

#[test]
fn a_scenario_finds_its_vehicle_and_says_so_where_it_does_not() {
    let quay = own_quay();
    let (dir, paths) = directory(&[("quay.toml", &quay)]);
    let alone = called(&["lint", "--plain", &paths[0]]);
    assert_eq!(alone.0, Exit::FallsShort);
    let told = "error no-vehicle: its vehicle `yard-van` is not at hand.";
    assert!(alone.1.contains(told), "{}", alone.1);
    // By --vehicle, beside it, and along with it.
    let (elsewhere, van) = directory(&[("any.toml", &own_van())]);
    let clean = |arguments: &[&str], files: usize| {
        let (exit, output, errors) = called(arguments);
        assert_eq!((exit, errors.as_str()), (Exit::Done, ""), "{output}");
        let plural = if files == 1 { "" } else { "s" };
        assert_eq!(
            output,
            format!("{files} file{plural}, 0 errors, 0 warnings\n")
        );
    };
    clean(&["lint", "--vehicle", &van[0], &paths[0]], 1);
    clean(&["lint", &paths[0], word(elsewhere.path())], 2);
    fs::write(dir.path().join("yard-van.toml"), own_van()).unwrap();
    clean(&["lint", &paths[0]], 1);
    // Where that cannot be used, the scenario is not blamed for it.
    fs::write(dir.path().join("yard-van.toml"), "format = 1\n[vehicle]\n").unwrap();
    let (exit, output, _) = called(&["lint", "--plain", &paths[0]]);
    assert_eq!(exit, Exit::FallsShort);
    assert!(output.contains("yard-van.toml has errors."), "{output}");
}

#[test]
fn two_vehicles_with_one_id_are_told_apart_by_nobody() {
    let (_dir, paths) = directory(&[("a.toml", &own_van()), ("b.toml", &own_van())]);
    let (exit, output, _) = called(&["lint", "--plain", &paths[0], &paths[1], &paths[0]]);
    assert_eq!(exit, Exit::FallsShort);
    assert!(
        output.contains("b.toml, line 15, column 1: error duplicate-id: "),
        "{output}"
    );
    assert!(
        output.ends_with("2 files, 1 error, 0 warnings\n"),
        "{output}"
    );
}

#[test]
fn warnings_alone_are_no_failure() {
    let quay = own_quay() + "streaks = \"They leave half of it.\"\n";
    let (_dir, paths) = directory(&[("quay.toml", &quay), ("van.toml", &own_van())]);
    let (exit, output, _) = called(&["lint", &paths[0], &paths[1]]);
    assert_eq!(exit, Exit::Done, "{output}");
    assert!(output.contains("warning[idle-complaint]"), "{output}");
    assert!(
        output.ends_with("2 files, 0 errors, 1 warning\n"),
        "{output}"
    );
}

#[test]
fn what_cannot_be_read_is_misuse_and_the_rest_is_told_all_the_same() {
    let (dir, _) = directory(&[("van.toml", "format = 1\n[vehicel]\n")]);
    let large = dir.path().join("large.toml");
    fs::write(&large, vec![b'#'; (1 << 20) + 1]).unwrap();
    let (exit, output, errors) = called(&["lint", "--plain", word(dir.path())]);
    assert_eq!(exit, Exit::Misuse);
    assert!(errors.contains("larger than 1 MiB"), "{errors}");
    assert!(output.contains("did you mean `vehicle`?"), "{output}");
    fs::write(&large, b"format = 1\n\xff").unwrap();
    let (exit, _, errors) = called(&["lint", word(&large)]);
    assert_eq!(exit, Exit::Misuse);
    assert!(errors.contains("line 2: this is not UTF-8"), "{errors}");
    let empty = tempfile::tempdir().unwrap();
    fs::create_dir(empty.path().join("deeper.toml")).unwrap();
    fs::write(empty.path().join("deeper.toml").join("van.toml"), "").unwrap();
    for (path, told) in [
        (empty.path().to_owned(), "no .toml file"),
        (empty.path().join("none.toml"), "could not be read"),
    ] {
        let (exit, output, errors) = called(&["lint", word(&path)]);
        assert_eq!((exit, output.as_str()), (Exit::Misuse, ""));
        assert!(errors.contains(told), "{errors}");
    }
    assert_eq!(called(&["lint"]).0, Exit::Misuse);
}

/// A directory is what is in it: links lead anywhere, and are left alone even where a scenario asks for one.
#[cfg(unix)]
#[test]
fn links_in_a_directory_are_not_followed() {
    use std::os::unix::fs::symlink;
    let (dir, paths) = directory(&[("quay.toml", &own_quay())]);
    let (_elsewhere, van) = directory(&[("any.toml", &own_van())]);
    symlink(&van[0], dir.path().join("yard-van.toml")).unwrap();
    for path in [word(dir.path()), &paths[0]] {
        let (exit, output, _) = called(&["lint", path]);
        assert_eq!(exit, Exit::FallsShort);
        assert!(output.contains("is not at hand"), "{output}");
        assert!(
            output.ends_with("1 file, 1 error, 0 warnings\n"),
            "{output}"
        );
    }
}

/// Lints shipped files; all there is to say of them does no harm: complaints that are never heard and modes that are
/// never drawn.
fn without_errors(files: &[&str]) {
    let shipped = Path::new(env!("CARGO_MANIFEST_DIR")).join("../scenarios");
    let paths: Vec<PathBuf> = files.iter().map(|file| shipped.join(file)).collect();
    let mut arguments = vec!["lint", "--format", "json"];
    arguments.extend(paths.iter().map(|path| word(path)));
    let (exit, output, errors) = called(&arguments);
    assert_eq!((exit, errors.as_str()), (Exit::Done, ""), "{output}");
    let rows: Vec<serde_json::Value> = serde_json::from_str(&output).unwrap();
    let harmless =
        |row: &serde_json::Value| row["code"] == "idle-complaint" || row["code"] == "latent-mode";
    assert!(rows.iter().all(harmless), "{output}");
}

#[test]
fn the_van_and_its_scenarios_are_without_errors() {
    without_errors(&[
        "van-case-ground.toml",
        "rain-on-the-quay.toml",
        "stiff-morning.toml",
        "last-boat-out.toml",
        "frost-on-the-slip.toml",
        "dust-from-the-wharf.toml",
    ]);
}

#[test]
#[ignore = "takes half a minute: .ci/slow runs it, and the test above that of the van"]
fn whatever_is_shipped_is_without_errors() {
    without_errors(&[""]);
}

/// What `new` writes can be checked and played at once.
#[test]
fn what_is_begun_passes_and_plays() {
    let dir = tempfile::tempdir().unwrap();
    let to = word(dir.path());
    let made = |arguments: &[&str], name: &str| -> PathBuf {
        let all: Vec<&str> = arguments.iter().copied().chain(["--to", to]).collect();
        let (exit, output, errors) = called(&all);
        assert_eq!((exit, errors.as_str()), (Exit::Done, ""), "{output}");
        assert!(output.contains("groundside lint"), "{output}");
        dir.path().join(name)
    };
    let van = made(&["new", "vehicle", "yard-van"], "yard-van.toml");
    let first = made(
        &["new", "scenario", "first-frost", "--vehicle", "yard-van"],
        "first-frost.toml",
    );
    made(
        &["new", "scenario", "on-a-shipped-one"],
        "on-a-shipped-one.toml",
    );
    let (exit, output, _) = called(&["lint", to]);
    assert_eq!(exit, Exit::Done, "{output}");
    assert_eq!(output, "3 files, 0 errors, 0 warnings\n");
    let (exit, output, errors) = called(&[
        "practice",
        word(&first),
        "--vehicle",
        word(&van),
        "--seed",
        "3",
    ]);
    assert_eq!((exit, errors.as_str()), (Exit::Done, ""));
    assert!(output.starts_with("First frost."), "{output}");
    let names: Vec<_> = fs::read_dir(dir.path()).unwrap().collect();
    assert_eq!(names.len(), 3, "{names:?}");
}

#[test]
fn nothing_is_written_over_and_a_bad_name_writes_nothing() {
    let (dir, paths) = directory(&[("yard-van.toml", "mine")]);
    let to = word(dir.path());
    let (exit, output, errors) = called(&["new", "vehicle", "yard-van", "--to", to]);
    assert_eq!((exit, output.as_str()), (Exit::Misuse, ""));
    assert!(errors.contains("this exists"), "{errors}");
    assert_eq!(fs::read_to_string(&paths[0]).unwrap(), "mine");
    for bad in ["Yard", "../van", "a--b", "yard van", "", &"a".repeat(41)] {
        let (exit, _, errors) = called(&["new", "vehicle", bad, "--to", to]);
        assert_eq!(exit, Exit::Misuse, "{bad}");
        assert!(errors.contains("cannot be a name"), "{bad}: {errors}");
    }
    let arguments = [
        "new",
        "scenario",
        "frost",
        "--vehicle",
        "No Van",
        "--to",
        to,
    ];
    assert!(called(&arguments).2.contains("`No Van` cannot be a name"));
    let nowhere = dir.path().join("none");
    let arguments = ["new", "scenario", "frost", "--to", word(&nowhere)];
    assert_eq!(called(&arguments).0, Exit::Misuse);
    let names: Vec<_> = fs::read_dir(dir.path()).unwrap().collect();
    assert_eq!(names.len(), 1, "{names:?}");
}
