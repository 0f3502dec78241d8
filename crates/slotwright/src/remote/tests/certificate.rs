//! A self-signed certificate, written by hand: the few DER fields that X.509 (RFC 5280) asks for.

use ring::rand::SystemRandom;
use ring::signature::{ECDSA_P256_SHA256_ASN1_SIGNING, EcdsaKeyPair, KeyPair};

/// The certificate and its private key (PKCS #8), both as DER.
pub fn self_signed() -> (Vec<u8>, Vec<u8>) {
    let random = SystemRandom::new();
    let pkcs8 = EcdsaKeyPair::generate_pkcs8(&ECDSA_P256_SHA256_ASN1_SIGNING, &random).unwrap();
    let key = EcdsaKeyPair::from_pkcs8(&ECDSA_P256_SHA256_ASN1_SIGNING, pkcs8.as_ref(), &random).unwrap();
    let to_sign = body(key.public_key().as_ref());
    let signature = key.sign(&random, &to_sign).unwrap();
    let certificate = sequence(&[&to_sign, &ECDSA_WITH_SHA256, &bits(signature.as_ref())]);
    (certificate, pkcs8.as_ref().to_vec())
}

/// AlgorithmIdentifier of 1.2.840.10045.4.3.2.
const ECDSA_WITH_SHA256: [u8; 12] = [0x30, 0x0a, 0x06, 0x08, 0x2a, 0x86, 0x48, 0xce, 0x3d, 0x04, 0x03, 0x02];
/// AlgorithmIdentifier of 1.2.840.10045.2.1 with the curve 1.2.840.10045.3.1.7.
const P256: [u8; 21] = [
    0x30, 0x13, 0x06, 0x07, 0x2a, 0x86, 0x48, 0xce, 0x3d, 0x02, 0x01, 0x06, 0x08, 0x2a, 0x86, 0x48, 0xce, 0x3d, 0x03,
    0x01, 0x07,
];

fn body(public_key: &[u8]) -> Vec<u8> {
    let version_3 = tagged(0xa0, &[0x02, 0x01, 0x02]);
    let serial = [0x02, 0x01, 0x07];
    // commonName (2.5.4.3): a test's name.
    let text = tagged(0x0c, b"slotwright test");
    let attribute = sequence(&[&[0x06, 0x03, 0x55, 0x04, 0x03], &text]);
    let name = sequence(&[&tagged(0x31, &attribute)]);
    let dates = sequence(&[&tagged(0x17, b"200101000000Z"), &tagged(0x17, b"491231235959Z")]);
    let key = sequence(&[&P256, &bits(public_key)]);
    // subjectAltName (2.5.29.17): the address 127.0.0.1.
    let names = sequence(&[&tagged(0x87, &[127, 0, 0, 1])]);
    let extension = sequence(&[&[0x06, 0x03, 0x55, 0x1d, 0x11], &tagged(0x04, &names)]);
    let extensions = tagged(0xa3, &sequence(&[&extension]));
    sequence(&[&version_3, &serial, &ECDSA_WITH_SHA256, &name, &dates, &name, &key, &extensions])
}

fn sequence(parts: &[&[u8]]) -> Vec<u8> {
    tagged(0x30, &parts.concat())
}

fn bits(bytes: &[u8]) -> Vec<u8> {
    tagged(0x03, &[&[0][..], bytes].concat())
}

fn tagged(tag: u8, bytes: &[u8]) -> Vec<u8> {
    let mut out = vec![tag];
    match bytes.len() {
        short @ 0..=127 => out.push(short as u8),
        mid @ 128..=255 => out.extend([0x81, mid as u8]),
        long => out.extend([0x82, (long >> 8) as u8, long as u8]),
    }
    out.extend(bytes);
    out
}
