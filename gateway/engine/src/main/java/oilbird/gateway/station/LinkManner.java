package oilbird.gateway.station;

import oilbird.gateway.contract.MessageText;
import oilbird.gateway.engine.outbox.LinkFilter;
import org.jspecify.annotations.Nullable;

/**
 * What a link tells and how much, whatever its protocol.
 *
 * @param only what the other side is told.
 * @param message the text that goes with an alarm event; null for none.
 * @param bytesADay the budget of a line that is paid by volume; 0 for none.
 */
public record LinkManner(LinkFilter only, @Nullable MessageText message, long bytesADay) {
    /** Tells everything, without a text of its own and without a budget. */
    public static final LinkManner PLAIN = new LinkManner(LinkFilter.NONE, null, 0);
}
