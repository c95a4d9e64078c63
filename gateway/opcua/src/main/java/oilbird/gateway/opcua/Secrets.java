package oilbird.gateway.opcua;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import oilbird.gateway.station.OpcUaEndpoint.Secret;
import org.jspecify.annotations.Nullable;

/** Where passwords and users' certificates are found; read anew at each attempt to connect. */
public final class Secrets {
    private final Path folder;
    private final Environment environment;

    /** The process's environment, or a test's. */
    @FunctionalInterface
    public interface Environment {
        /** Null where there is no such variable. */
        @Nullable
        String get(String variable);
    }

    /**
     * @param folder {@code secrets} of the gateway's data folder.
     */
    public Secrets(Path folder, Environment environment) {
        this.folder = folder;
        this.environment = environment;
    }

    /**
     * The secret; the first line of its file.
     *
     * @throws IOException if it is not there; the message says where it was sought and never what it is.
     */
    String text(Secret secret) throws IOException {
        if (secret instanceof Secret.InEnvironment inEnvironment) {
            String value = environment.get(inEnvironment.variable());
            if (value == null || value.isEmpty()) {
                throw new IOException("the environment has no variable " + inEnvironment.variable());
            }
            return value;
        }
        Path file = file((Secret.InFile) secret);
        String first;
        try {
            first = Files.readString(file).lines().findFirst().orElse("");
        } catch (IOException e) {
            throw new IOException("the file " + file + " cannot be read", e);
        }
        if (first.isEmpty()) {
            throw new IOException("the first line of " + file + " is empty");
        }
        return first;
    }

    Path file(Secret.InFile secret) {
        return folder.resolve(secret.file());
    }
}
