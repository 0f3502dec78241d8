//! Who asks: a user from the environment or the terminal. A password is never an argument, which every user of a
//! machine can read in the list of processes, and is never printed.

use super::RemoteError;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use console::Term;
use std::fmt;
use std::io::IsTerminal;

/// A user and a password.
#[derive(Clone, PartialEq, Eq)]
pub struct User {
    pub name: String,
    pub password: String,
}

impl fmt::Debug for User {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "User({:?}, …)", self.name)
    }
}

/// How a service is logged in to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Login {
    None,
    Basic(User),
    Session(User),
}

impl User {
    /// The value of `Authorization` (RFC 7617).
    pub fn basic(&self) -> String {
        format!("Basic {}", STANDARD.encode(format!("{}:{}", self.name, self.password)))
    }
}

/// The user of the environment, or the one that a person at the terminal names; `None` where there is neither.
///
/// # Errors
/// A user without a password, and nobody to ask.
pub fn ask() -> Result<Option<User>, RemoteError> {
    let set = |name: &str| std::env::var(name).ok().filter(|v| !v.is_empty());
    let (name, password) = (set("SLOTWRIGHT_USER"), set("SLOTWRIGHT_PASSWORD"));
    let term = Term::stderr();
    let person = term.is_term() && std::io::stdin().is_terminal();
    let failed = |error: std::io::Error| RemoteError::Prompt { why: error.to_string() };
    let name = match name {
        Some(name) => name,
        None if person => {
            term.write_str("User of the service (empty for none): ").map_err(failed)?;
            term.read_line().map_err(failed)?.trim().to_string()
        }
        None => return Ok(None),
    };
    if name.is_empty() {
        return Ok(None);
    }
    let password = match password {
        Some(password) => password,
        None if person => {
            term.write_str("Password (not shown): ").map_err(failed)?;
            term.read_secure_line().map_err(failed)?
        }
        None => return Err(RemoteError::Prompt { why: "SLOTWRIGHT_USER is set, SLOTWRIGHT_PASSWORD is not".into() }),
    };
    Ok(Some(User { name, password }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_goes_into_the_header_and_nowhere_else() {
        // The example of RFC 7617.
        let user = User { name: "Aladdin".into(), password: "open sesame".into() };
        assert_eq!(user.basic(), "Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ==");
        assert!(!format!("{user:?} {:?}", Login::Session(user.clone())).contains("sesame"));
    }
}
