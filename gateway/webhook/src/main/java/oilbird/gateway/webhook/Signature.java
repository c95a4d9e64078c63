package oilbird.gateway.webhook;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.stream.Collectors;
import javax.crypto.Mac;
import javax.crypto.spec.SecretKeySpec;

/**
 * Signs messages by the Standard Webhooks specification 1.0.0, symmetric scheme {@code v1}: the base64 of an
 * HMAC-SHA256 (RFC 2104) over {@code id.timestamp.body}. With several secrets there are several signatures, so that a
 * receiver can change over from one to the next.
 */
final class Signature {
    private static final String PREFIX = "whsec_";
    private static final int SHORTEST_KEY = 24;
    private static final int LONGEST_KEY = 64;

    private final List<byte[]> keys;

    private Signature(List<byte[]> keys) {
        this.keys = keys;
    }

    /**
     * @param secrets each {@code whsec_} with the base64 of 24 to 64 bytes.
     * @throws IOException with what is wrong and what to do; never with the secret.
     */
    static Signature of(List<String> secrets) throws IOException {
        List<byte[]> keys = new ArrayList<>();
        for (String secret : secrets) {
            keys.add(key(secret));
        }
        return new Signature(keys);
    }

    @SuppressWarnings("UnusedException") // its message would quote the secret
    private static byte[] key(String secret) throws IOException {
        byte[] key = {};
        if (secret.startsWith(PREFIX)) {
            try {
                key = Base64.getDecoder().decode(secret.substring(PREFIX.length()));
            } catch (IllegalArgumentException e) {
                throw new IOException("the secret is not base64 after " + PREFIX + ": copy it anew");
            }
        }
        if (key.length < SHORTEST_KEY || key.length > LONGEST_KEY) {
            throw new IOException("the secret is not " + PREFIX + " with the base64 of " + SHORTEST_KEY + " to "
                    + LONGEST_KEY + " bytes: make one as the guide says");
        }
        return key;
    }

    /**
     * The value of the header {@code webhook-signature}.
     *
     * @param timestamp seconds since 1970-01-01T00:00:00Z.
     */
    String of(String id, long timestamp, byte[] body) {
        byte[] head = (id + "." + timestamp + ".").getBytes(StandardCharsets.UTF_8);
        return keys.stream()
                .map(key -> "v1," + Base64.getEncoder().encodeToString(hmacSha256(key, head, body)))
                .collect(Collectors.joining(" "));
    }

    static byte[] hmacSha256(byte[] key, byte[]... parts) {
        try {
            Mac mac = Mac.getInstance("HmacSHA256");
            mac.init(new SecretKeySpec(key, "HmacSHA256"));
            for (byte[] part : parts) {
                mac.update(part);
            }
            return mac.doFinal();
        } catch (GeneralSecurityException e) {
            throw new IllegalStateException("every Java has HmacSHA256", e);
        }
    }
}
