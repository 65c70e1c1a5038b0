//! The real binary, once: everything else is driven in process.

use std::io::{self, Read as _, Write as _};
use std::process::{Child, Command, Output, Stdio};

/// The program with its streams in our hands, outside any terminal.
fn groundside(arguments: &[&str]) -> io::Result<Child> {
    Command::new(env!("CARGO_BIN_EXE_groundside"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
}

fn finished(arguments: &[&str], input: &str) -> io::Result<(Output, String)> {
    let mut child = groundside(arguments)?;
    if let Some(mut stdin) = child.stdin.take() {
        stdin.write_all(input.as_bytes())?;
    }
    let output = child.wait_with_output()?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    Ok((output, text))
}

#[test]
fn an_empty_standard_input_is_done_at_once() {
    let (output, text) = finished(&[], "").unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(text.starts_with("Rain on the quay."), "{text}");
}

#[test]
fn a_script_ends_in_a_result() {
    let arguments = ["practice", "--seed", "7", "--format", "json"];
    let script = "key on; wiper low; look\nconclude left pivot stiff\n";
    let (output, text) = finished(&arguments, script).unwrap();
    assert_eq!(output.status.code(), Some(0));
    let last = text.lines().last().unwrap();
    assert!(last.starts_with("{\"result\":{\"verdict\":"), "{last}");
}

#[test]
fn a_pipe_closed_early_is_a_quiet_end() {
    let mut child = groundside(&["list", "faults", "van-case-ground"]).unwrap();
    drop(child.stdin.take());
    let mut first = [0_u8; 1];
    let mut output = child.stdout.take().unwrap();
    output.read_exact(&mut first).unwrap();
    drop(output);
    let end = child.wait_with_output().unwrap();
    assert_eq!(end.status.code(), Some(0));
    assert!(
        end.stderr.is_empty(),
        "{}",
        String::from_utf8_lossy(&end.stderr)
    );
}

#[test]
fn misuse_is_exit_code_two_with_the_nearest_right_word() {
    let (output, _) = finished(&["practice", "rain-on-the-key"], "").unwrap();
    assert_eq!(output.status.code(), Some(2));
    let report = String::from_utf8(output.stderr).unwrap();
    assert!(report.contains("rain-on-the-quay"), "{report}");
}
