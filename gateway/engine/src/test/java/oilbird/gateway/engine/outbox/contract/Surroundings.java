package oilbird.gateway.engine.outbox.contract;

import java.nio.file.Path;
import java.util.function.Supplier;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.writer.ActDoor;

/**
 * What a link under test is made with.
 *
 * @param link the id that the link has to have.
 * @param view the station as last committed.
 * @param acts where acts that come back over the link go.
 * @param data the gateway's data folder.
 * @param record where a peer that was away reads what it missed, if its protocol can.
 */
public record Surroundings(
        String link,
        StationModel model,
        Forms forms,
        Supplier<StationView> view,
        GatewayClock clock,
        ActDoor acts,
        Path data,
        EventRecord record) {}
