//! What every command says of itself.

use crate::support::Place;

#[test]
fn every_command_has_help_with_an_example() {
    for (name, help) in headround::cli::docs::helps() {
        insta::assert_snapshot!(name.replace(' ', "_"), help);
        let nested = name.matches(' ').count() > 1;
        assert!(nested || help.contains("\nExample"), "{name}");
        assert!(help.lines().all(|l| l.chars().count() <= 100), "{name}: a line is too long");
    }
}

#[test]
fn help_and_version_go_to_standard_output() {
    let place = Place::new();
    let help = place.run(&["--help"]);
    assert_eq!((help.code, help.err.as_str()), (0, ""));
    assert!(help.out.contains("Usage: headround"));
    assert_eq!(place.run(&["--version"]).out, concat!("headround ", env!("CARGO_PKG_VERSION"), "\n"));
    assert_eq!(place.run(&["walk", "-h"]).code, 0);
}

#[test]
fn what_is_not_understood_goes_to_standard_error() {
    let place = Place::new();
    insta::assert_snapshot!(place.run(&["stauts"]), @r"
    exit 2
    --- standard error
    error: unrecognized subcommand 'stauts'

      tip: a similar subcommand exists: 'status'

    Usage: headround [OPTIONS] [COMMAND]

    For more information, try '--help'.
    ");
    insta::assert_snapshot!(place.run(&["status"]), @r"
    exit 2
    --- standard error
    error: the following required arguments were not provided:
      <FILE>...

    Usage: headround status <FILE>...

    For more information, try '--help'.
    ");
    insta::assert_snapshot!(place.run(&["status", "x", "--on", "25.11.2026"]), @r"
    exit 2
    --- standard error
    error: invalid value '25.11.2026' for '--on <DATE>': write a day as in 2026-11-25

    For more information, try '--help'.
    ");
    insta::assert_snapshot!(place.run(&["status", "x", "--theme", "plaid"]), @r"
    exit 2
    --- standard error
    error: invalid value 'plaid' for '--theme <NAME>'
      [possible values: default, day, night, mono]

    For more information, try '--help'.
    ");
}
