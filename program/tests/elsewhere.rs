//! What is not tested of the program on some systems.

#[macro_use]
#[path = "../../tests/rust/elsewhere.rs"]
mod gates;

elsewhere! {
    signals_and_full_disks, "disk.rs", unix, "disk: signals, limits of a shell and mounted disks are those of Unix";
    kills, "killed.rs", unix, "killed: kill -9 is Unix's";
    memory, "memory.rs", unix, "memory: the most that children have used is told by Unix's getrusage";
    pages_in_the_making, "pack/interrupted.rs", unix, "pack::interrupted: signals and limits of a shell are those of Unix";
    links_as_inputs, "bad_input.rs", unix, "bad_input: links need no rights only on Unix";
    links_and_pipes_as_outputs, "output.rs", unix, "output: links, devices, pipes and sockets are those of Unix";
    pipes_by_name, "render/files.rs", unix, "render::files: named pipes and devices are Unix's";
    a_full_standard_output, "help.rs", target_os = "linux", "help: /dev/full is Linux's";
    a_led_measurement, "guided/mod.rs", target_os = "linux", "guided: the interface is made of plugins of Linux's ALSA";
    windows, "standalone.rs", target_os = "linux", "standalone::window: the display is one of X11";
}
