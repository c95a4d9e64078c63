package oilbird.gateway.opcua.inspect;

import java.io.IOException;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import oilbird.gateway.opcua.Probe;
import oilbird.mapping.draft.FoundVariable;

/** Walks a server from its folder Objects and collects its variables; what the server says of itself is left out. */
final class Walk {
    /** A map has no more points; a server that never ends must not be walked for ever. */
    private static final int MOST_VARIABLES = 2000;

    private static final int MOST_NODES = 20_000;
    private static final int DEEPEST = 20;

    private final Probe probe;
    private final List<FoundVariable> variables = new ArrayList<>();
    private final List<String> remarks = new ArrayList<>();
    private final Set<Probe.Found> seen = new HashSet<>();
    private boolean cut;

    Walk(Probe probe) throws IOException, InterruptedException {
        this.probe = probe;
        descend(probe.objects(), List.of());
        if (cut) {
            remarks.add("the server has more than " + MOST_VARIABLES + " variables, or goes deeper than " + DEEPEST
                    + " folders; the rest was not looked at");
        }
    }

    private void descend(Probe.Found parent, List<String> path) throws IOException, InterruptedException {
        if (path.size() > DEEPEST) {
            cut = true;
            return;
        }
        for (Probe.Found child : probe.children(parent)) {
            if (variables.size() >= MOST_VARIABLES || seen.size() >= MOST_NODES) {
                cut = true;
                return;
            }
            if (!seen.add(child) || child.isServer()) {
                continue;
            }
            List<String> below = new ArrayList<>(path);
            below.add(child.browseName());
            if (child.isVariable()) {
                variables.add(probe.variable(child, below));
            }
            descend(child, below);
        }
    }

    List<FoundVariable> variables() {
        return variables;
    }

    List<String> remarks() {
        return remarks;
    }
}
