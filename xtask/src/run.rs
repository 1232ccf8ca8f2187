//! Started by cargo as a test program: `.cargo/config.toml` says why.

fn main() -> std::process::ExitCode {
    xtask::main()
}
