//! The real binary at a terminal, for what only a terminal does: lines typed while nobody asks for one.
#![cfg(unix)]

use std::fs::File;
use std::io::{self, Read as _, Write as _};
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use nix::pty::openpty;

/// What the program writes to a terminal on which all lines were typed before it asked for the first.
fn typed_ahead(arguments: &[&str], typed: &str) -> io::Result<String> {
    let terminal = openpty(None, None)?;
    let end = || terminal.slave.try_clone().map(Stdio::from);
    let mut screen = File::from(terminal.master);
    screen.write_all(typed.as_bytes())?;
    let mut child = Command::new(env!("CARGO_BIN_EXE_groundside"))
        .args(arguments)
        .env("TERM", "xterm")
        .env("XDG_STATE_HOME", env!("CARGO_TARGET_TMPDIR"))
        .stdin(end()?)
        .stdout(end()?)
        .stderr(end()?)
        .spawn()?;
    drop(terminal.slave);
    let reader = thread::spawn(move || {
        let mut shown = Vec::new();
        let mut piece = [0; 4096];
        // A terminal that nobody is at any more ends in an error.
        while let Ok(read @ 1..) = screen.read(&mut piece) {
            shown.extend_from_slice(&piece[..read]);
        }
        shown
    });
    // What lost its lines waits for more.
    let patience = Instant::now() + Duration::from_secs(60);
    while child.try_wait()?.is_none() && Instant::now() < patience {
        thread::sleep(Duration::from_millis(50));
    }
    child.kill()?;
    child.wait()?;
    let shown = reader.join().unwrap_or_default();
    Ok(String::from_utf8_lossy(&shown).into_owned())
}

#[test]
fn lines_typed_ahead_are_kept() {
    let arguments = ["practice", "--seed", "7"];
    let typed = "key on; low; look\nwhy\nwhere\nlisten\npause\n";
    let shown = typed_ahead(&arguments, typed).unwrap();
    let mut from = 0;
    for told in [
        "Wiper to low.",
        "You ask the technician.",
        "You are at: cab",
        "A note from the motor",
        "Paused.",
    ] {
        let at = shown[from..].find(told);
        assert!(at.is_some(), "{told}: {shown}");
        from += at.unwrap_or(0);
    }
}
