//! One screen a file.

pub mod find;
mod head_list;
pub mod jump;
pub mod leave_check;
pub mod like_this;
pub mod note;
pub mod sweep;
pub mod walk;
mod walk_act;
mod walk_draw;
mod walk_ground;
mod walk_head;
mod walk_keys;
mod walk_pending;
mod walk_prompts;
mod walk_ruling;
mod walk_strip;
pub mod walk_words;
