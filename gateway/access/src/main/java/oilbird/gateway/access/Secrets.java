package oilbird.gateway.access;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.security.SecureRandom;
import java.util.Base64;
import java.util.HexFormat;
import java.util.Locale;

/** Random secrets, and the digests under which they are kept: at 125 bits and more no slow hash is needed. */
final class Secrets {
    private static final SecureRandom RANDOM = new SecureRandom();
    /** Without letters and digits that are taken for each other. */
    private static final String ALPHABET = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789";

    private static final int GROUPS = 5;
    private static final int GROUP = 5;

    private Secrets() {}

    /** 256 random bits in base64url. */
    static String random() {
        byte[] bytes = new byte[32];
        RANDOM.nextBytes(bytes);
        return Base64.getUrlEncoder().withoutPadding().encodeToString(bytes);
    }

    static String randomHex(int bytes) {
        byte[] some = new byte[bytes];
        RANDOM.nextBytes(some);
        return HexFormat.of().formatHex(some);
    }

    /** A code for people to copy by hand: 25 characters, 125 random bits. */
    static String code() {
        StringBuilder code = new StringBuilder();
        for (int i = 0; i < GROUPS * GROUP; i++) {
            if (i > 0 && i % GROUP == 0) {
                code.append('-');
            }
            code.append(ALPHABET.charAt(RANDOM.nextInt(ALPHABET.length())));
        }
        return code.toString();
    }

    /** A code as it was typed, in the form in which it was given. */
    static String typed(String code) {
        String plain = code.toUpperCase(Locale.ROOT).replaceAll("[^A-Z0-9]", "");
        return plain.length() == GROUPS * GROUP ? plain.replaceAll("(.{5})(?=.)", "$1-") : plain;
    }

    static String digest(String secret) {
        try {
            return HexFormat.of()
                    .formatHex(MessageDigest.getInstance("SHA-256").digest(secret.getBytes(StandardCharsets.UTF_8)));
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException("every Java has SHA-256", e);
        }
    }

    /** In a time that does not depend on where they differ. */
    static boolean same(String digest, String other) {
        return MessageDigest.isEqual(
                digest.getBytes(StandardCharsets.US_ASCII), other.getBytes(StandardCharsets.US_ASCII));
    }
}
