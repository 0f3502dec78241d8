//! The options of reading from services, as arguments.

use super::login::{Login, ask};
use super::{Options, RemoteError, Trust};
use std::path::PathBuf;
use std::time::Duration;

/// Largest answer that is taken: a collection of 4,096 whole members has some 10 MB.
const BODY_MOST: u64 = 32 * 1024 * 1024;

/// Services are given as https://host. The user comes from SLOTWRIGHT_USER and SLOTWRIGHT_PASSWORD, or is asked for.
#[derive(Debug, Clone, clap::Args)]
#[command(next_help_heading = "Reading from services")]
pub struct Args {
    /// How to log in.
    #[arg(long, value_enum, default_value_t, value_name = "HOW")]
    pub login: LoginKind,
    /// Believe certificates that this file's authorities have signed, beside the system's.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["pin", "no_tls_check"])]
    pub ca: Option<PathBuf>,
    /// Believe only a certificate with this SHA-256 sum; may be given several times.
    #[arg(long, value_name = "SHA256", conflicts_with = "no_tls_check")]
    pub pin: Vec<String>,
    /// Believe any certificate. Whoever is in between can read the password.
    #[arg(long)]
    pub no_tls_check: bool,
    /// Allow http:// to other machines. Everyone on the way can read the password.
    #[arg(long)]
    pub plain_http: bool,
    /// Seconds for a connection.
    #[arg(long, value_name = "SECONDS", default_value_t = 10, value_parser = clap::value_parser!(u64).range(1..=600))]
    pub connect_timeout: u64,
    /// Seconds for all that is read of one host.
    #[arg(long, value_name = "SECONDS", default_value_t = 120, value_parser = clap::value_parser!(u64).range(1..=3600))]
    pub timeout: u64,
    /// Hosts that are read at once.
    #[arg(long, value_name = "COUNT", default_value_t = 8, value_parser = clap::value_parser!(u16).range(1..=64))]
    pub at_once: u16,
}

/// How to log in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum LoginKind {
    /// A session that is closed at the end.
    #[default]
    Session,
    /// The password with every request.
    Basic,
    /// No login.
    None,
}

impl Args {
    /// The options, with the user from the environment or asked for on the terminal.
    ///
    /// # Errors
    /// A sum is none, or there is nobody to ask.
    pub fn options(&self) -> Result<Options, RemoteError> {
        let pins = self.pin.iter().map(|p| pin(p)).collect::<Result<Vec<_>, _>>()?;
        let trust = match (pins.is_empty(), self.no_tls_check) {
            (false, _) => Trust::Pins(pins),
            (true, true) => Trust::Unchecked,
            (true, false) => Trust::Authorities(self.ca.clone()),
        };
        let login = match self.login {
            LoginKind::None => Login::None,
            kind => match ask()? {
                Some(user) if kind == LoginKind::Basic => Login::Basic(user),
                Some(user) => Login::Session(user),
                None => Login::None,
            },
        };
        Ok(Options {
            login,
            trust,
            plain_http: self.plain_http,
            connect: Duration::from_secs(self.connect_timeout),
            whole: Duration::from_secs(self.timeout),
            body_most: BODY_MOST,
            at_once: usize::from(self.at_once),
        })
    }
    /// What a person should know before the answer is used.
    pub fn cautions(&self) -> Vec<String> {
        let told = [
            (
                self.no_tls_check,
                "caution: --no-tls-check: nobody knows who answered, and who is in between has the password",
            ),
            (self.plain_http, "caution: --plain-http: everyone on the way can read the password"),
        ];
        told.into_iter().filter(|(given, _)| *given).map(|(_, words)| words.to_string()).collect()
    }
}

/// Reads a SHA-256 sum: 64 hexadecimal digits, with colons between them if one likes.
fn pin(text: &str) -> Result<[u8; 32], RemoteError> {
    let wrong = || RemoteError::Pin { text: text.to_string() };
    let digits: Vec<u32> =
        text.trim().chars().filter(|c| *c != ':').map(|c| c.to_digit(16)).collect::<Option<_>>().ok_or_else(wrong)?;
    let bytes: Vec<u8> = digits.chunks(2).map(|pair| pair.iter().fold(0, |sum, d| sum * 16 + *d as u8)).collect();
    if digits.len() != 64 { Err(wrong()) } else { bytes.try_into().map_err(|_| wrong()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_read_with_and_without_colons() {
        let plain = "00ff".repeat(16);
        let colons = ["00", "FF"].repeat(16).join(":");
        assert_eq!(pin(&plain).unwrap(), pin(&colons).unwrap());
        for text in ["", "00ff", &plain[1..], "zz", &format!("{plain}00")] {
            assert!(pin(text).is_err(), "{text}");
        }
    }
}
