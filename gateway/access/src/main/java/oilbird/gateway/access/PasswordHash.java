package oilbird.gateway.access;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.SecureRandom;
import java.text.Normalizer;
import java.util.Arrays;
import java.util.Base64;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.bouncycastle.crypto.generators.Argon2BytesGenerator;
import org.bouncycastle.crypto.params.Argon2Parameters;

/**
 * A password as it is stored: Argon2id (RFC 9106) in PHC string form,
 * {@code $argon2id$v=19$m=19456,t=2,p=1$SALT$TAG}, salt and tag in base64 without padding.
 *
 * @param memoryKib memory in KiB.
 * @param passes over the memory.
 */
public record PasswordHash(int memoryKib, int passes, int lanes, byte[] salt, byte[] tag) {
    // OWASP Password Storage Cheat Sheet (from memory): 19 MiB, two passes, one lane.
    private static final int MEMORY_KIB = 19 * 1024;
    private static final int PASSES = 2;
    private static final int LANES = 1;
    private static final int SALT_BYTES = 16;
    private static final int TAG_BYTES = 32;
    // A damaged or planted file must not make the gateway run out of memory.
    private static final int MOST_MEMORY_KIB = 32 * 1024;
    private static final int MOST_PASSES = 10;
    private static final int MOST_LANES = 4;

    private static final Pattern PHC =
            Pattern.compile("\\$argon2id\\$v=19\\$m=([0-9]{1,7}),t=([0-9]{1,3}),p=([0-9]{1,2})"
                    + "\\$([A-Za-z0-9+/]{11,86})\\$([A-Za-z0-9+/]{22,86})");
    private static final SecureRandom RANDOM = new SecureRandom();

    public PasswordHash {
        if (memoryKib < 8 * lanes
                || memoryKib > MOST_MEMORY_KIB
                || passes < 1
                || passes > MOST_PASSES
                || lanes < 1
                || lanes > MOST_LANES) {
            throw new IllegalArgumentException(
                    "costs of a password hash outside what is taken: m=" + memoryKib + ",t=" + passes + ",p=" + lanes);
        }
        salt = salt.clone();
        tag = tag.clone();
    }

    /** Takes some tens of milliseconds and 19 MiB. */
    public static PasswordHash of(String password) {
        byte[] salt = new byte[SALT_BYTES];
        RANDOM.nextBytes(salt);
        return new PasswordHash(
                MEMORY_KIB, PASSES, LANES, salt, tag(password, MEMORY_KIB, PASSES, LANES, salt, TAG_BYTES));
    }

    /** A hash that no password has: whoever does not exist costs the same time as whoever does. */
    static PasswordHash ofNobody() {
        byte[] salt = new byte[SALT_BYTES];
        byte[] tag = new byte[TAG_BYTES];
        RANDOM.nextBytes(salt);
        RANDOM.nextBytes(tag);
        return new PasswordHash(MEMORY_KIB, PASSES, LANES, salt, tag);
    }

    /**
     * @throws IllegalArgumentException if the text is no such hash, or its costs are outside what is taken.
     */
    public static PasswordHash parse(String phc) {
        Matcher matcher = PHC.matcher(phc);
        if (!matcher.matches()) {
            throw new IllegalArgumentException("this is no Argon2id hash in PHC string form");
        }
        return new PasswordHash(
                Integer.parseInt(matcher.group(1)),
                Integer.parseInt(matcher.group(2)),
                Integer.parseInt(matcher.group(3)),
                Base64.getDecoder().decode(matcher.group(4)),
                Base64.getDecoder().decode(matcher.group(5)));
    }

    /** Compares in a time that does not depend on where they differ. */
    public boolean matches(String password) {
        return MessageDigest.isEqual(tag, tag(password, memoryKib, passes, lanes, salt, tag.length));
    }

    private static byte[] tag(String password, int memoryKib, int passes, int lanes, byte[] salt, int length) {
        byte[] bytes = Normalizer.normalize(password, Normalizer.Form.NFC).getBytes(StandardCharsets.UTF_8);
        try {
            return tag(
                    new Argon2Parameters.Builder(Argon2Parameters.ARGON2_id)
                            .withVersion(Argon2Parameters.ARGON2_VERSION_13)
                            .withMemoryAsKB(memoryKib)
                            .withIterations(passes)
                            .withParallelism(lanes)
                            .withSalt(salt)
                            .build(),
                    bytes,
                    length);
        } finally {
            Arrays.fill(bytes, (byte) 0);
        }
    }

    static byte[] tag(Argon2Parameters parameters, byte[] password, int length) {
        Argon2BytesGenerator generator = new Argon2BytesGenerator();
        generator.init(parameters);
        byte[] tag = new byte[length];
        generator.generateBytes(password, tag);
        return tag;
    }

    /** The PHC string. */
    public String phc() {
        Base64.Encoder base64 = Base64.getEncoder().withoutPadding();
        return "$argon2id$v=19$m=" + memoryKib + ",t=" + passes + ",p=" + lanes + "$" + base64.encodeToString(salt)
                + "$" + base64.encodeToString(tag);
    }

    @Override
    public byte[] salt() {
        return salt.clone();
    }

    @Override
    public byte[] tag() {
        return tag.clone();
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof PasswordHash hash && hash.phc().equals(phc());
    }

    @Override
    public int hashCode() {
        return phc().hashCode();
    }

    /** Nothing that could be searched for the password. */
    @Override
    public String toString() {
        return "a password hash";
    }
}
