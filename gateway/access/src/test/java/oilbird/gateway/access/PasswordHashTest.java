package oilbird.gateway.access;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Arrays;
import java.util.HexFormat;
import org.bouncycastle.crypto.params.Argon2Parameters;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class PasswordHashTest {
    private static byte[] filled(int length, int with) {
        byte[] bytes = new byte[length];
        Arrays.fill(bytes, (byte) with);
        return bytes;
    }

    /** RFC 9106, 5.3: Argon2id test vector. */
    @Test
    void theTestVectorOfTheStandardComesOut() {
        Argon2Parameters vector = new Argon2Parameters.Builder(Argon2Parameters.ARGON2_id)
                .withVersion(Argon2Parameters.ARGON2_VERSION_13)
                .withMemoryAsKB(32)
                .withIterations(3)
                .withParallelism(4)
                .withSalt(filled(16, 2))
                .withSecret(filled(8, 3))
                .withAdditional(filled(12, 4))
                .build();
        assertThat(HexFormat.of().formatHex(PasswordHash.tag(vector, filled(32, 1), 32)))
                .isEqualTo("0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659");
    }

    /** A PHC string of the reference implementation: phc-winner-argon2, src/test.c, Argon2id version 0x13. */
    @Test
    void aHashOfTheReferenceImplementationIsRead() {
        PasswordHash foreign = PasswordHash.parse(
                "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4");
        assertThat(foreign.matches("password")).isTrue();
        assertThat(foreign.matches("passwore")).isFalse();
    }

    @Test
    void aPasswordMatchesItsHashHoweverItsAccentsAreTyped() {
        PasswordHash hash = PasswordHash.of("Ölvogel am Transformator");
        PasswordHash read = PasswordHash.parse(hash.phc());
        assertThat(read).isEqualTo(hash);
        assertThat(read.matches("O\u0308lvogel am Transformator"))
                .as("NFC, as NIST SP 800-63B asks for (from memory)")
                .isTrue();
        assertThat(read.matches("olvogel am Transformator")).isFalse();
        assertThat(PasswordHash.of("Ölvogel am Transformator"))
                .as("another salt")
                .isNotEqualTo(hash);
        assertThat(hash.toString()).doesNotContain("$");
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "$argon2i$v=19$m=19456,t=2,p=1$c29tc2FsdHNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
                "$argon2id$v=16$m=19456,t=2,p=1$c29tc2FsdHNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
                "$argon2id$v=19$m=4000000,t=2,p=1$c29tc2FsdHNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
                "$argon2id$v=19$m=19456,t=99,p=1$c29tc2FsdHNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
                "password"
            })
    void whatWouldCostTooMuchOrIsSomethingElseIsRefused(String phc) {
        assertThatThrownBy(() -> PasswordHash.parse(phc)).isInstanceOf(IllegalArgumentException.class);
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "short 12345          | false",
                "long enough for all  | true",
                "aaaabbbbaaaabbbb     | false",
                "A.Tester is the best | false",
                "пароль подстанции    | true"
            })
    void passwordsAreLongAndNotTheName(String password, boolean taken) {
        assertThat(PasswordRules.refusal(password, "a.tester", 13) == null).isEqualTo(taken);
    }
}
