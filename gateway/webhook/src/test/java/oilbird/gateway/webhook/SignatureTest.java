package oilbird.gateway.webhook;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.Base64;
import java.util.HexFormat;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class SignatureTest {
    private static final HexFormat HEX = HexFormat.of();

    /** RFC 4231, 4.2, 4.3, 4.4, 4.7: test cases 1, 2, 3 and 6 for HMAC-SHA-256. */
    @ParameterizedTest
    @CsvSource({
        "0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b, 4869205468657265,"
                + " b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7",
        "4a656665, 7768617420646f2079612077616e7420666f72206e6f7468696e673f,"
                + " 5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
        "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa,"
                + " dddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddd,"
                + " 773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe",
    })
    void theHmacIsThatOfTheStandard(String key, String data, String expected) {
        byte[] message = HEX.parseHex(data);
        assertThat(HEX.formatHex(Signature.hmacSha256(HEX.parseHex(key), message)))
                .isEqualTo(expected);
        byte[] first = {message[0]};
        byte[] rest = java.util.Arrays.copyOfRange(message, 1, message.length);
        assertThat(HEX.formatHex(Signature.hmacSha256(HEX.parseHex(key), first, rest)))
                .as("in parts")
                .isEqualTo(expected);
    }

    /** The example of the Standard Webhooks reference libraries (their test suites, version 1.0.0). */
    @Test
    void theHeaderIsThatOfTheStandardWebhooksSpecification() throws IOException {
        Signature signature = Signature.of(List.of("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"));

        assertThat(signature.of(
                        "msg_p5jXN8AQM9LWM0D4loKWxJek",
                        1614265330,
                        "{\"test\": 2432232314}".getBytes(StandardCharsets.UTF_8)))
                .isEqualTo("v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=");
    }

    @Test
    void whileASecretIsBeingReplacedBothSign() throws IOException {
        String other = "whsec_" + Base64.getEncoder().encodeToString(new byte[32]);
        Signature both = Signature.of(List.of(other, "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"));

        String[] signatures = both.of(
                        "msg_p5jXN8AQM9LWM0D4loKWxJek",
                        1614265330,
                        "{\"test\": 2432232314}".getBytes(StandardCharsets.UTF_8))
                .split(" ", -1);
        assertThat(signatures).hasSize(2).doesNotHaveDuplicates();
        assertThat(signatures[1]).isEqualTo("v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=");
    }

    @ParameterizedTest
    @ValueSource(strings = {"whsec_dG9vIHNob3J0", "MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "whsec_?MfKQ9r8GKYqrTwjUPD8ILPZ"})
    void aSecretThatIsNoneIsRefusedWithoutBeingToldOn(String wrong) {
        assertThatThrownBy(() -> Signature.of(List.of(wrong)))
                .isInstanceOf(IOException.class)
                .hasMessageContaining("whsec_")
                .hasMessageNotContaining(wrong.substring(6))
                .hasNoCause();
    }
}
