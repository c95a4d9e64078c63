package oilbird.gateway.engine.record;

import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;

/** SHA-256 (FIPS 180-4) of each row over the hash of the row before it and the row's own bytes. */
final class HashChain {
    /** What the first row of a record stands on. */
    static final byte[] START = new byte[32];

    private final MessageDigest digest;

    HashChain() {
        try {
            digest = MessageDigest.getInstance("SHA-256");
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException("every Java platform has SHA-256", e);
        }
    }

    byte[] next(byte[] previous, byte[] body) {
        digest.update(previous);
        return digest.digest(body);
    }

    byte[] of(byte[] body) {
        return digest.digest(body);
    }
}
