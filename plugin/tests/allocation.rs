//! The allocation guard that the other tests rely on must be awake: a forbidden allocation ends the process.

use std::process::Command;

use nice_assert_no_alloc::assert_no_alloc;

// Linking the plugin brings the framework's guarding allocator.
use firstjack_plugin as _;

#[test]
#[ignore = "run by the other test, in a process of its own"]
fn allocates_where_it_must_not() {
    assert_no_alloc(|| std::hint::black_box(vec![1u8]));
}

#[test]
fn a_forbidden_allocation_ends_the_process() {
    let program = std::env::current_exe().unwrap();
    let output =
        Command::new(program).args(["--ignored", "--exact", "allocates_where_it_must_not"]).output().unwrap();
    assert!(!output.status.success());
    // Ended in the allocator, not by an assertion or a missing test.
    let text = String::from_utf8_lossy(&output.stderr);
    assert!(text.contains("memory allocation of 1 bytes failed"), "{text}");
}
