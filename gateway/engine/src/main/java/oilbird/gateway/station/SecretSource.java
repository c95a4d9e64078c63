package oilbird.gateway.station;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Where a secret is to be found. Knows the place and not the secret, so that it may be logged.
 *
 * @param file absolute, or below the folder {@code secrets} of the gateway's data folder; null for the environment.
 * @param environment name of a variable.
 */
public record SecretSource(@Nullable String file, @Nullable String environment) {
    /**
     * The secret as it is now, without empty lines; several where one is being replaced by another.
     *
     * @param secrets folder {@code secrets} of the gateway's data folder.
     * @throws IOException with what is wrong and what to do; never with the secret.
     */
    public List<String> read(Path secrets) throws IOException {
        String text;
        if (file != null) {
            Path place = secrets.resolve(file);
            try {
                text = Files.readString(place, StandardCharsets.UTF_8);
            } catch (NoSuchFileException e) {
                throw new IOException("there is no secret in " + place + ": put it there", e);
            } catch (IOException e) {
                throw new IOException("the secret in " + place + " cannot be read: let the gateway's user read it", e);
            }
        } else {
            text = System.getenv(environment);
            if (text == null) {
                throw new IOException("the environment has no secret " + environment + ": set it");
            }
        }
        List<String> lines =
                text.lines().map(String::strip).filter(line -> !line.isEmpty()).toList();
        if (lines.isEmpty()) {
            throw new IOException("the secret in " + this + " is empty: put it there");
        }
        return lines;
    }

    @Override
    public String toString() {
        return file != null ? file : "the variable " + environment;
    }
}
