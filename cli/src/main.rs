//! The `groundside` program: everything is in the library, so that tests can drive it in process.

use std::process::ExitCode;

fn main() -> ExitCode {
    groundside::run(std::env::args_os(), &mut groundside::Io::of_process()).into()
}
