package oilbird.gateway.station;

import oilbird.mapping.text.YamlMapping;
import org.jspecify.annotations.Nullable;

/** Reads where a secret is kept. */
final class SecretReader {
    private SecretReader() {}

    /** Null after a mistake that was told. */
    static @Nullable SecretSource read(YamlMapping of, String key) {
        YamlMapping secret = of.mapping(key);
        String file = secret.textOrNull("file");
        String environment = secret.textOrNull("environment");
        if ((file == null) == (environment == null)) {
            of.problems()
                    .error(
                            of.has(key) ? secret.position() : of.position(),
                            file == null
                                    ? "nothing says where the " + key + " is kept"
                                    : "a secret is kept in a file or in the environment, not in both",
                            "write " + key + ": {file: ...} or " + key + ": {environment: ...}");
            return null;
        }
        return new SecretSource(file, environment);
    }
}
