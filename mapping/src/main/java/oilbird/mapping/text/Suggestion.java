package oilbird.mapping.text;

import java.util.Collection;
import java.util.Locale;
import java.util.Optional;

/** Finds the word that somebody probably meant. */
public final class Suggestion {
    private static final int LONGEST_WORD = 100;

    private Suggestion() {}

    /**
     * The candidate nearest to the word by edits (a swap of neighbours counts as one), if it is near
     * enough to be a slip: at most a third of the word's length, and at least one edit. The first of
     * equals wins.
     */
    public static Optional<String> closest(String word, Collection<String> candidates) {
        if (word.length() > LONGEST_WORD) {
            return Optional.empty();
        }
        String wanted = plain(word);
        int allowed = Math.max(1, wanted.length() / 3);
        String best = null;
        int bestEdits = allowed + 1;
        for (String candidate : candidates) {
            int edits = edits(wanted, plain(candidate));
            if (edits < bestEdits) {
                bestEdits = edits;
                best = candidate;
            }
        }
        return Optional.ofNullable(best);
    }

    private static String plain(String word) {
        return word.toLowerCase(Locale.ROOT).replace('_', '-').replace(' ', '-');
    }

    /** Edit distance with transpositions of neighbours (optimal string alignment). */
    private static int edits(String a, String b) {
        int[][] cost = new int[a.length() + 1][b.length() + 1];
        for (int i = 0; i <= a.length(); i++) {
            cost[i][0] = i;
        }
        for (int j = 0; j <= b.length(); j++) {
            cost[0][j] = j;
        }
        for (int i = 1; i <= a.length(); i++) {
            for (int j = 1; j <= b.length(); j++) {
                int replace = cost[i - 1][j - 1] + (a.charAt(i - 1) == b.charAt(j - 1) ? 0 : 1);
                cost[i][j] = Math.min(replace, Math.min(cost[i - 1][j], cost[i][j - 1]) + 1);
                if (i > 1 && j > 1 && a.charAt(i - 1) == b.charAt(j - 2) && a.charAt(i - 2) == b.charAt(j - 1)) {
                    cost[i][j] = Math.min(cost[i][j], cost[i - 2][j - 2] + 1);
                }
            }
        }
        return cost[a.length()][b.length()];
    }
}
