//! The program: everything is in the library, so that tests can drive it without a process.

fn main() -> std::process::ExitCode {
    cli::main()
}
