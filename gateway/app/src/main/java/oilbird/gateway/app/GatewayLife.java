package oilbird.gateway.app;

import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import io.vertx.core.Vertx;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.enterprise.inject.Produces;
import jakarta.inject.Singleton;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import oilbird.gateway.app.live.LiveChannel;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.app.wiring.GatewaySettings;
import oilbird.gateway.app.wiring.StationLoading;
import org.eclipse.microprofile.config.ConfigProvider;

/** Ties the gateway's life to that of the web server. */
@ApplicationScoped
public class GatewayLife {
    /** The gateway that main has started; without a main, as in a test, one of the configuration. */
    @Produces
    @Singleton
    Gateway gateway() {
        Gateway started = Gateway.handedOver();
        if (started != null) {
            return started;
        }
        try {
            GatewaySettings settings =
                    GatewaySettings.of(key -> ConfigProvider.getConfig().getOptionalValue(key, String.class));
            return StationLoading.startGateway(settings, new PrintStream(System.err, true, StandardCharsets.UTF_8));
        } catch (GatewaySettings.SettingsException | StationLoading.RefusedException e) {
            throw new IllegalStateException(e.getMessage(), e);
        }
    }

    void start(@Observes StartupEvent event, Gateway gateway, LiveChannel live, Vertx vertx) {
        live.start();
        gateway.connectLinks(vertx);
    }

    void stop(@Observes ShutdownEvent event, Gateway gateway, LiveChannel live) {
        live.close();
        gateway.close();
    }
}
