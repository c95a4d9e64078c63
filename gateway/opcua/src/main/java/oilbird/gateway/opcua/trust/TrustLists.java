package oilbird.gateway.opcua.trust;

import java.security.cert.X509CRL;
import java.security.cert.X509Certificate;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import org.eclipse.milo.opcua.stack.core.security.CertificateQuarantine;
import org.eclipse.milo.opcua.stack.core.security.TrustListManager;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.util.validation.ValidationCheck;

/** The folder as the library wants to see it; only people change it. */
public final class TrustLists implements TrustListManager, CertificateQuarantine {
    private final TrustFolder folder;

    public TrustLists(TrustFolder folder) {
        this.folder = folder;
    }

    /**
     * What is checked of every certificate. The time of validity is judged only while the gateway's own clock is to be
     * trusted.
     */
    static Set<ValidationCheck> checks(boolean clockTrusted) {
        Set<ValidationCheck> checks = new TreeSet<>(Set.of(
                ValidationCheck.APPLICATION_URI, ValidationCheck.REVOCATION, ValidationCheck.KEY_USAGE_END_ENTITY));
        if (clockTrusted) {
            checks.add(ValidationCheck.VALIDITY);
        }
        return checks;
    }

    @Override
    public List<X509CRL> getIssuerCrls() {
        return List.of();
    }

    @Override
    public List<X509CRL> getTrustedCrls() {
        return folder.revocationLists();
    }

    @Override
    public List<X509Certificate> getIssuerCertificates() {
        return folder.certificates(TrustFolder.Kind.ISSUERS);
    }

    @Override
    public List<X509Certificate> getTrustedCertificates() {
        return folder.certificates(TrustFolder.Kind.TRUSTED);
    }

    @Override
    public List<X509Certificate> getRejectedCertificates() {
        return folder.certificates(TrustFolder.Kind.REJECTED);
    }

    @Override
    public void addRejectedCertificate(X509Certificate certificate) {
        folder.reject(certificate);
    }

    @Override
    public void removeRejectedCertificate(X509Certificate certificate) {
        throw notOurs();
    }

    @Override
    public void setIssuerCrls(List<X509CRL> lists) {
        throw notOurs();
    }

    @Override
    public void setTrustedCrls(List<X509CRL> lists) {
        throw notOurs();
    }

    @Override
    public void setIssuerCertificates(List<X509Certificate> certificates) {
        throw notOurs();
    }

    @Override
    public void setTrustedCertificates(List<X509Certificate> certificates) {
        throw notOurs();
    }

    @Override
    public void addIssuerCertificate(X509Certificate certificate) {
        throw notOurs();
    }

    @Override
    public void addTrustedCertificate(X509Certificate certificate) {
        throw notOurs();
    }

    @Override
    public boolean removeIssuerCertificate(ByteString thumbprint) {
        throw notOurs();
    }

    @Override
    public boolean removeTrustedCertificate(ByteString thumbprint) {
        throw notOurs();
    }

    @Override
    public DateTime getLastUpdateTime() {
        return DateTime.now();
    }

    private UnsupportedOperationException notOurs() {
        return new UnsupportedOperationException("only people change the trust folder");
    }
}
