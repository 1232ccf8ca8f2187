//! The program as a user meets it: started as a process, judged by what it prints, writes and returns. Takes are written and
//! renderings read by code of the tests' own (`support/wav.rs`).

mod bad_input;
mod curve;
mod disk;
mod elsewhere;
mod guided;
mod help;
mod into_amp;
mod killed;
mod kit;
mod measure;
mod names;
#[cfg(feature = "window")]
#[cfg_attr(not(target_os = "linux"), expect(dead_code, reason = "windows are tested on displays of X11"))]
#[path = "../../tests/rust/needs.rs"]
mod needs;
mod note;
mod options;
mod output;
mod pack;
mod render;
mod rescue;
mod setups;
mod standalone;
mod support;
mod tell;
mod typed;
mod votes;
