//! The program: arguments in, exit code out.

fn main() -> std::process::ExitCode {
    faultwalk::cli::main()
}
