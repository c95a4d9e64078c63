package oilbird.mapping.draft;

import java.util.List;
import oilbird.mapping.text.Problem;

/**
 * A first device map, made from a point list.
 *
 * @param yaml text of the map; empty where the list could not be read at all. Nothing in it is verified.
 * @param remarks what the list does not say, with the place in it and what was assumed; in file order. An error
 *     where a row, or the whole list, could not be used.
 */
public record MapDraft(String yaml, List<Problem> remarks) {
    public MapDraft {
        remarks = List.copyOf(remarks);
    }

    /**
     * Reads a point list: a table of comma-separated values whose first known row of headings says what is where.
     *
     * @param fileName of the list, as the user would write it.
     * @param list its text.
     * @param mapName name for the map.
     * @param oneBased true where the integrator knows that the list counts addresses from one.
     */
    public static MapDraft from(String fileName, String list, String mapName, boolean oneBased) {
        return new ListReader(fileName, mapName, oneBased).read(list);
    }
}
