//! Why a service could not be read.

use readers::redfish::RedfishError;

/// Why a service could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RemoteError {
    #[error("`{text}` is no address of a service: {why}")]
    Address { text: String, why: &'static str },
    #[error("http:// to `{host}` would send the login in the clear")]
    PlainHttp { host: String },
    #[error("`{text}` is no SHA-256 sum of a certificate")]
    Pin { text: String },
    #[error("can't use the certificates of `{path}`: {why}")]
    Authorities { path: String, why: String },
    #[error("`{host}` is not believed: {why}")]
    Certificate { host: String, why: String, sum: Option<String> },
    #[error("`{host}` can't be reached: {why}")]
    Unreachable { host: String, why: String },
    #[error("`{host}` answers without TLS, and https:// needs it")]
    NoTls { host: String },
    #[error("`{host}` refuses the login: {why}")]
    Login { host: String, why: String },
    #[error("no password for the service: {why}")]
    Prompt { why: String },
    #[error("`{host}`: {error}")]
    Redfish { host: String, error: RedfishError },
    #[error("interrupted before the host was read whole")]
    Interrupted,
}

impl RemoteError {
    /// What the person can do next, in one clause.
    pub fn hint(&self) -> String {
        match self {
            Self::Address { .. } => "write https://host, with a port if it is not 443".into(),
            Self::PlainHttp { .. } => "use https://, or give --plain-http if the network is yours alone".into(),
            Self::Pin { .. } => "give 64 hexadecimal digits; colons between them are fine".into(),
            Self::Authorities { .. } => "give a file with certificates in PEM form".into(),
            Self::Certificate { sum: Some(sum), .. } => format!(
                "give the authority's file with --ca; or compare the sum on the machine itself and give --pin {sum}"
            ),
            Self::Certificate { .. } => {
                "give the authority's file with --ca, or the certificate's sum with --pin".into()
            }
            Self::Unreachable { .. } => "check the address, the cable and that the service is switched on".into(),
            Self::NoTls { .. } => {
                "write http://, and give --plain-http if the network is yours alone; or give the port that has TLS"
                    .into()
            }
            Self::Login { .. } => {
                "set SLOTWRIGHT_USER and SLOTWRIGHT_PASSWORD, or try --login basic where there are no sessions".into()
            }
            Self::Prompt { .. } => "set SLOTWRIGHT_USER and SLOTWRIGHT_PASSWORD".into(),
            Self::Redfish { error, .. } => error.hint(),
            Self::Interrupted => "run it again".into(),
        }
    }
}
