//! The screens, one file each, and what several of them share.

pub mod area_menu;
pub mod begin;
pub mod close_looks;
pub mod due;
pub mod explain;
pub mod findings;
pub mod form;
pub mod head_entries;
pub mod head_menu;
pub mod help;
pub mod kind_choice;
pub mod kind_form;
pub mod moves;
pub mod new_site;
pub mod notices;
pub mod opening;
pub mod overview;
pub mod parts;
pub mod settle;
pub mod sheet;
pub mod signoff;
pub mod summary;
pub mod trouble;
pub mod walk;
