package oilbird.gateway.opcua.server;

import java.security.KeyPair;
import java.security.cert.X509Certificate;
import java.util.List;
import java.util.Optional;
import oilbird.gateway.opcua.trust.OwnCertificate;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.security.CertificateFactory;
import org.eclipse.milo.opcua.stack.core.security.CertificateGroup;
import org.eclipse.milo.opcua.stack.core.security.CertificateValidator;
import org.eclipse.milo.opcua.stack.core.security.TrustListManager;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;

/** The server's one certificate and the trust folder as the library wants to see them; only people change them. */
record OwnGroup(OwnCertificate own, TrustListManager lists, CertificateValidator check) implements CertificateGroup {
    private static final NodeId KIND = NodeIds.RsaSha256ApplicationCertificateType;

    @Override
    public NodeId getCertificateGroupId() {
        return NodeIds.ServerConfiguration_CertificateGroups_DefaultApplicationGroup;
    }

    @Override
    public List<NodeId> getSupportedCertificateTypeIds() {
        return List.of(KIND);
    }

    @Override
    public TrustListManager getTrustListManager() {
        return lists;
    }

    @Override
    public List<Entry> getCertificateEntries() {
        return List.of(new Entry(getCertificateGroupId(), KIND, chain()));
    }

    private X509Certificate[] chain() {
        return new X509Certificate[] {own.certificate()};
    }

    @Override
    public Optional<KeyPair> getKeyPair(NodeId certificateTypeId) {
        return certificateTypeId.equals(KIND) ? Optional.of(own.keys()) : Optional.empty();
    }

    @Override
    public Optional<X509Certificate[]> getCertificateChain(NodeId certificateTypeId) {
        return certificateTypeId.equals(KIND) ? Optional.of(chain()) : Optional.empty();
    }

    @Override
    public void updateCertificate(NodeId certificateTypeId, KeyPair keyPair, X509Certificate[] certificateChain) {
        throw new UnsupportedOperationException("only people change the server's certificate");
    }

    @Override
    public CertificateFactory getCertificateFactory() {
        throw new UnsupportedOperationException("only people change the server's certificate");
    }

    @Override
    public CertificateValidator getCertificateValidator() {
        return check;
    }
}
