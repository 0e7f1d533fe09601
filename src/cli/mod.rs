//! The command line: one file a command. Only this room names clap.
