//! TLS below HTTP: a connector that checks certificates by authority or by sum, and remembers what it was shown.

use super::{RemoteError, Trust};
use ring::digest::{SHA256, digest};
use rustls::client::WebPkiServerVerifier;
use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::crypto::{CryptoProvider, verify_tls12_signature, verify_tls13_signature};
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use rustls::{ClientConfig, ClientConnection, DigitallySignedStruct, RootCertStore, SignatureScheme, StreamOwned};
use std::io::{Read, Write};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use ureq::unversioned::transport::{
    Buffers, ConnectionDetails, Connector, Either, LazyBuffers, NextTimeout, Transport, TransportAdapter,
};

/// What a host showed, and why it was not believed.
#[derive(Debug, Default)]
pub struct Shown {
    /// The SHA-256 sum of its certificate.
    pub sum: Option<String>,
    pub refused: Option<String>,
}

pub type Memory = Arc<Mutex<Shown>>;

/// Wraps connections to `https` addresses.
#[derive(Debug)]
pub struct TlsConnector {
    config: Arc<ClientConfig>,
    /// The sum of the certificate that was shown last.
    pub shown: Memory,
}

impl TlsConnector {
    /// A connector that believes whom it should.
    ///
    /// # Errors
    /// The authorities' file can't be read.
    pub fn new(trust: &Trust) -> Result<Self, RemoteError> {
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let shown = Memory::default();
        let check = match trust {
            Trust::Unchecked => Check::Nothing,
            Trust::Pins(pins) => Check::Sums(pins.clone()),
            Trust::Authorities(file) => authorities(file.as_deref(), &provider)?,
        };
        let verifier = Verifier { check, provider: provider.clone(), shown: shown.clone() };
        let config = ClientConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .map_err(|e| RemoteError::Authorities { path: "the TLS library".into(), why: e.to_string() })?
            .dangerous()
            .with_custom_certificate_verifier(Arc::new(verifier))
            .with_no_client_auth();
        Ok(Self { config: Arc::new(config), shown })
    }
}

fn authorities(file: Option<&Path>, provider: &Arc<CryptoProvider>) -> Result<Check, RemoteError> {
    let mut roots = RootCertStore::empty();
    roots.add_parsable_certificates(rustls_native_certs::load_native_certs().certs);
    if let Some(path) = file {
        let failed = |why: String| RemoteError::Authorities { path: path.display().to_string(), why };
        let found = CertificateDer::pem_file_iter(path).map_err(|e| failed(e.to_string()))?;
        let found = found.collect::<Result<Vec<_>, _>>().map_err(|e| failed(e.to_string()))?;
        let (added, _) = roots.add_parsable_certificates(found);
        if added == 0 {
            return Err(failed("it has no certificate that can be used".into()));
        }
    }
    // A machine without any authority believes nobody, which is right.
    let built = WebPkiServerVerifier::builder_with_provider(Arc::new(roots), provider.clone()).build();
    Ok(built.map_or(Check::Nobody, Check::Authorities))
}

#[derive(Debug)]
enum Check {
    Authorities(Arc<WebPkiServerVerifier>),
    Sums(Vec<[u8; 32]>),
    Nothing,
    Nobody,
}

#[derive(Debug)]
struct Verifier {
    check: Check,
    provider: Arc<CryptoProvider>,
    shown: Memory,
}

impl ServerCertVerifier for Verifier {
    fn verify_server_cert(
        &self,
        end_entity: &CertificateDer<'_>,
        intermediates: &[CertificateDer<'_>],
        server_name: &ServerName<'_>,
        ocsp_response: &[u8],
        now: UnixTime,
    ) -> Result<ServerCertVerified, rustls::Error> {
        let sum = digest(&SHA256, end_entity.as_ref());
        let refused = |why: &str| Err(rustls::Error::General(why.to_string()));
        let result = match &self.check {
            Check::Nothing => Ok(ServerCertVerified::assertion()),
            Check::Sums(pins) if pins.iter().any(|p| p == sum.as_ref()) => Ok(ServerCertVerified::assertion()),
            Check::Sums(_) => refused("its certificate is not the pinned one"),
            Check::Nobody => refused("this machine has no authorities to check it by"),
            Check::Authorities(inner) => {
                inner.verify_server_cert(end_entity, intermediates, server_name, ocsp_response, now)
            }
        };
        let mut shown = self.shown.lock().unwrap_or_else(PoisonError::into_inner);
        shown.sum = Some(sum.as_ref().iter().map(|b| format!("{b:02x}")).collect());
        shown.refused = result.as_ref().err().map(|e| match e {
            rustls::Error::General(why) => why.clone(),
            other => other.to_string(),
        });
        result
    }
    fn verify_tls12_signature(
        &self,
        message: &[u8],
        cert: &CertificateDer<'_>,
        dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, rustls::Error> {
        match self.check {
            Check::Nothing => Ok(HandshakeSignatureValid::assertion()),
            _ => verify_tls12_signature(message, cert, dss, &self.provider.signature_verification_algorithms),
        }
    }
    fn verify_tls13_signature(
        &self,
        message: &[u8],
        cert: &CertificateDer<'_>,
        dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, rustls::Error> {
        match self.check {
            Check::Nothing => Ok(HandshakeSignatureValid::assertion()),
            _ => verify_tls13_signature(message, cert, dss, &self.provider.signature_verification_algorithms),
        }
    }
    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.provider.signature_verification_algorithms.supported_schemes()
    }
}

impl<In: Transport> Connector<In> for TlsConnector {
    type Out = Either<In, TlsTransport>;

    fn connect(&self, details: &ConnectionDetails, chained: Option<In>) -> Result<Option<Self::Out>, ureq::Error> {
        let Some(transport) = chained else { return Ok(None) };
        if !details.needs_tls() || transport.is_tls() {
            return Ok(Some(Either::A(transport)));
        }
        let host = details.uri.host().unwrap_or("").trim_start_matches('[').trim_end_matches(']').to_string();
        let name = ServerName::try_from(host).map_err(|_| ureq::Error::Tls("the host's name can't be checked"))?;
        let failed = |e: rustls::Error| ureq::Error::Io(std::io::Error::other(e));
        let mut conn = ClientConnection::new(self.config.clone(), name).map_err(failed)?;
        let mut sock = TransportAdapter::new(transport.boxed(), details.current_time.clone());
        sock.set_timeout(details.timeout);
        while conn.is_handshaking() {
            conn.complete_io(&mut sock).map_err(|e| if is_plain(&e) { ureq::Error::Tls(NO_TLS) } else { e.into() })?;
        }
        let config = details.config;
        let buffers = LazyBuffers::new(config.input_buffer_size(), config.output_buffer_size());
        Ok(Some(Either::B(TlsTransport { buffers, stream: StreamOwned::new(conn, sock) })))
    }
}

/// What is said of a server that answers without TLS.
pub const NO_TLS: &str = "it answers without TLS";

/// Does the answer look like no TLS record at all?
fn is_plain(error: &std::io::Error) -> bool {
    let inner = error.get_ref().and_then(|e| e.downcast_ref::<rustls::Error>());
    matches!(inner, Some(rustls::Error::InvalidMessage(rustls::InvalidMessage::InvalidContentType)))
}

/// A connection with TLS around it.
pub struct TlsTransport {
    buffers: LazyBuffers,
    stream: StreamOwned<ClientConnection, TransportAdapter>,
}

impl std::fmt::Debug for TlsTransport {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("TlsTransport")
    }
}

impl Transport for TlsTransport {
    fn buffers(&mut self) -> &mut dyn Buffers {
        &mut self.buffers
    }
    fn transmit_output(&mut self, amount: usize, timeout: NextTimeout) -> Result<(), ureq::Error> {
        self.stream.get_mut().set_timeout(timeout);
        let output = self.buffers.output().get(..amount).unwrap_or_default();
        self.stream.write_all(output)?;
        Ok(())
    }
    fn await_input(&mut self, timeout: NextTimeout) -> Result<bool, ureq::Error> {
        self.stream.get_mut().set_timeout(timeout);
        let amount = self.stream.read(self.buffers.input_append_buf())?;
        self.buffers.input_appended(amount);
        Ok(amount > 0)
    }
    fn is_open(&mut self) -> bool {
        self.stream.get_mut().get_mut().is_open()
    }
    fn is_tls(&self) -> bool {
        true
    }
}
