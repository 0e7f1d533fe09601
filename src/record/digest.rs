use crate::diag::Diagnostic;
use std::path::Path;
pub struct Digest {
    pub text: String,
    pub lines: u64,
}
pub fn of_round(_: &Path, _: &str) -> Result<Digest, Box<Diagnostic>> {
    Ok(Digest { text: "sha256:00".into(), lines: 0 })
}
