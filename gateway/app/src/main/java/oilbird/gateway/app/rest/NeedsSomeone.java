package oilbird.gateway.app.rest;

import jakarta.inject.Singleton;
import oilbird.alarm.station.StationView;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.Written;
import org.jspecify.annotations.Nullable;

/** The list of what needs someone, written once for each picture of the station, however many pages ask for it. */
@Singleton
public class NeedsSomeone {
    private final Gateway gateway;
    private @Nullable StationView view;
    private long position = -1;
    private Picture picture = new Picture(new byte[0], "");

    public NeedsSomeone(Gateway gateway) {
        this.gateway = gateway;
    }

    /**
     * @param tag entity tag; another one for another picture.
     */
    @SuppressWarnings("ArrayRecordComponent")
    record Picture(byte[] json, String tag) {}

    synchronized Picture picture() {
        long newest = gateway.present().position();
        StationView committed = gateway.present().committedView();
        if (committed != view || newest != position) {
            view = committed;
            position = newest;
            byte[] json =
                    Written.json(gateway.forms().needsSomeone(gateway.present().view(), newest));
            picture = new Picture(json, EntityTags.of(json));
        }
        return picture;
    }
}
