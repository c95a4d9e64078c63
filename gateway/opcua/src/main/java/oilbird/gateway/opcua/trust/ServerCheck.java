package oilbird.gateway.opcua.trust;

import java.security.cert.X509Certificate;
import java.util.List;
import java.util.function.BooleanSupplier;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.security.CertificateValidator;
import org.eclipse.milo.opcua.stack.core.security.DefaultClientCertificateValidator;

/**
 * Decides whether a server's certificate is trusted; OPC UA Part 4, 6.1.3. One that is not is set aside.
 *
 * <p>The host name is not compared: monitors are addressed by number as a rule, and a certificate of the trust
 * folder was chosen by a person. The time of validity is judged only while the gateway's own clock is to be trusted:
 * a box that starts without a clock must not lose all its monitors.
 */
public final class ServerCheck implements CertificateValidator {
    private final TrustFolder folder;
    private final BooleanSupplier clockTrusted;

    public ServerCheck(TrustFolder folder, BooleanSupplier clockTrusted) {
        this.folder = folder;
        this.clockTrusted = clockTrusted;
    }

    @Override
    public void validateCertificateChain(List<X509Certificate> chain, String applicationUri, String[] hostNames)
            throws UaException {
        TrustLists lists = new TrustLists(folder);
        new DefaultClientCertificateValidator(lists, TrustLists.checks(clockTrusted.getAsBoolean()), lists)
                .validateCertificateChain(chain, applicationUri, hostNames);
    }
}
