package oilbird.gateway.opcua.trust;

import java.security.cert.X509CRL;
import java.security.cert.X509Certificate;
import java.util.List;
import org.eclipse.milo.opcua.stack.core.security.CertificateQuarantine;
import org.eclipse.milo.opcua.stack.core.security.TrustListManager;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;

/** The folder as the library wants to see it; only people change it. */
public final class TrustLists implements TrustListManager, CertificateQuarantine {
    private final TrustFolder folder;

    public TrustLists(TrustFolder folder) {
        this.folder = folder;
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
