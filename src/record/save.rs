use crate::diag::Diagnostic;
use std::path::Path;
pub fn create_new(p: &Path, t: &str) -> Result<(), Box<Diagnostic>> {
    std::fs::write(p, t).unwrap();
    Ok(())
}
pub fn write_out(p: &Path, t: &str, _over: bool) -> Result<(), Box<Diagnostic>> {
    std::fs::write(p, t).unwrap();
    Ok(())
}
