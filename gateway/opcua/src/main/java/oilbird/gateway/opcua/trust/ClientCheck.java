package oilbird.gateway.opcua.trust;

import java.security.cert.X509Certificate;
import java.util.List;
import java.util.function.BooleanSupplier;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.security.CertificateValidator;
import org.eclipse.milo.opcua.stack.core.security.DefaultServerCertificateValidator;
import org.jspecify.annotations.Nullable;

/**
 * Decides whether a client's certificate is trusted; OPC UA Part 4, 6.1.3. One that is not is set aside.
 *
 * <p>As with servers ({@link ServerCheck}) the time of validity is judged only while the gateway's own clock is to be
 * trusted.
 */
public final class ClientCheck implements CertificateValidator {
    private final TrustFolder folder;
    private final BooleanSupplier clockTrusted;
    private final SetAside setAside;

    /** Is told of a client that is not trusted. Must not block. */
    @FunctionalInterface
    public interface SetAside {
        void setAside(X509Certificate certificate, UaException why);
    }

    public ClientCheck(TrustFolder folder, BooleanSupplier clockTrusted, SetAside setAside) {
        this.folder = folder;
        this.clockTrusted = clockTrusted;
        this.setAside = setAside;
    }

    @Override
    public void validateCertificateChain(
            List<X509Certificate> chain, @Nullable String applicationUri, String @Nullable [] hostNames)
            throws UaException {
        TrustLists lists = new TrustLists(folder);
        try {
            new DefaultServerCertificateValidator(lists, TrustLists.checks(clockTrusted.getAsBoolean()), lists)
                    .validateCertificateChain(chain, applicationUri, hostNames);
        } catch (UaException e) {
            if (!chain.isEmpty()) {
                setAside.setAside(chain.get(0), e);
            }
            throw e;
        }
    }
}
