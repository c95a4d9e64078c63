package oilbird.gateway.app;

import io.quarkus.runtime.Quarkus;
import io.quarkus.runtime.annotations.QuarkusMain;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.app.wiring.StationLoading;

/**
 * Starts the gateway: polling first, the web server after it, the links last. A station folder with mistakes is
 * refused with exit status 2 and the list of its problems on standard error.
 */
@QuarkusMain
public final class OilbirdMain {
    private OilbirdMain() {}

    public static void main(String[] words) {
        Gateway gateway;
        try {
            gateway = StationLoading.startGateway();
        } catch (StationLoading.RefusedException e) {
            System.err.println(e.getMessage());
            System.exit(e.status());
            return;
        }
        gateway.handOver();
        Quarkus.run(words);
    }
}
