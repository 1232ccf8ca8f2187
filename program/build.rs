//! Links the program.

/// As much as Linux gives: Windows gives the main thread one or two MiB, and a window that is drawn without optimisation needs more.
const STACK_BYTES: u32 = 8 << 20;

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    let target = |name: &str| std::env::var(format!("CARGO_CFG_TARGET_{name}")).unwrap_or_default();
    match (target("OS").as_str(), target("ENV").as_str()) {
        ("windows", "msvc") => println!("cargo::rustc-link-arg-bins=/STACK:{STACK_BYTES}"),
        ("windows", _) => println!("cargo::rustc-link-arg-bins=-Wl,--stack,{STACK_BYTES}"),
        _ => {}
    }
}
