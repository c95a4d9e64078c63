package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.QueryParam;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.PicturesForm;
import oilbird.gateway.contract.SampleForm;
import oilbird.gateway.contract.SamplesForm;
import oilbird.gateway.contract.TransformerForms;
import oilbird.gateway.picture.Pictures;
import oilbird.gateway.sample.SampleTable;
import oilbird.gateway.sample.SampleText;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.jspecify.annotations.Nullable;

/** What is computed of a transformer, in pictures, and the laboratory samples that it is compared with. */
@Path("/api/v1")
@Produces(MediaType.APPLICATION_JSON)
public class TransformerResource {
    private static final SampleForm NOTHING = new SampleForm(null, null, null, null, null);

    private final Gateway gateway;
    private final Asking asking;

    public TransformerResource(Gateway gateway, Asking asking) {
        this.gateway = gateway;
        this.asking = asking;
    }

    @GET
    @Path("assets/{asset}/pictures")
    @Needs(Action.VIEW)
    public PicturesForm pictures(@PathParam("asset") String asset) {
        return TransformerForms.pictures(asset, transformer(asset));
    }

    /**
     * A picture as it is now, with a description in words inside.
     *
     * @param at anything: another one makes a browser ask anew.
     */
    @GET
    @Path("assets/{asset}/pictures/{picture: [a-z0-9-]+}.svg")
    @Produces("image/svg+xml")
    @Needs(Action.VIEW)
    public Response picture(
            @PathParam("asset") String asset,
            @PathParam("picture") String picture,
            @QueryParam("at") @Nullable String at) {
        TransformerPicture transformer = transformer(asset);
        Pictures.Kind kind =
                Pictures.Kind.of(picture).orElseThrow(() -> Problems.missing("there is no picture `" + picture + "`"));
        String name = gateway.station()
                .model()
                .facts()
                .asset(asset)
                .map(StationFacts.Asset::name)
                .orElse(asset);
        return Response.ok(Pictures.draw(kind, name, transformer))
                .header(HttpHeaders.CACHE_CONTROL, "no-cache")
                .build();
    }

    @GET
    @Path("assets/{asset}/samples")
    @Needs(Action.VIEW)
    public SamplesForm samples(@PathParam("asset") String asset) {
        return TransformerForms.samples(asset, transformer(asset));
    }

    /** Enters a laboratory sample. It is answered once it is durable. */
    @POST
    @Path("assets/{asset}/samples")
    @Consumes(MediaType.APPLICATION_JSON)
    @Needs(Action.ENTER_SAMPLES)
    public void enterSample(@PathParam("asset") String asset, @Nullable SampleForm form) {
        SampleForm entered = form == null ? NOTHING : form;
        Actor by = asking.by(entered.by());
        GasSample sample = SampleText.read(
                        entered.laboratory(),
                        entered.sampledAt(),
                        entered.gases() == null ? Map.of() : entered.gases(),
                        (field, what) -> {
                            throw Problems.wrong(field, what);
                        })
                .orElseThrow();
        asking.carryOut(new StationInput.EnterSample(
                asset, sample, Asking.text("reference", entered.reference()), by, asking.now()));
    }

    /** Takes a laboratory sample back that was entered wrongly; both acts stay in the record. */
    @POST
    @Path("assets/{asset}/samples/withdraw")
    @Consumes(MediaType.APPLICATION_JSON)
    @Needs(Action.ENTER_SAMPLES)
    public void withdrawSample(@PathParam("asset") String asset, @Nullable SampleForm form) {
        SampleForm entered = form == null ? NOTHING : form;
        Actor by = asking.by(entered.by());
        String laboratory = Asking.needed("laboratory", entered.laboratory());
        String sampledAt = Asking.needed("sampledAt", entered.sampledAt());
        GasSample named = SampleText.read(laboratory, sampledAt, Map.of("hydrogen", "1"), (field, what) -> {
                    throw Problems.wrong(field, what);
                })
                .orElseThrow();
        asking.carryOut(new StationInput.WithdrawSample(asset, named.source().id(), named.at(), by, asking.now()));
    }

    /**
     * Enters a table of samples, after all of it was read without a mistake; those that are known already with the
     * same time are passed over, so that the same table can be sent again.
     */
    @POST
    @Path("samples")
    @Consumes("text/csv")
    @Needs(Action.ENTER_SAMPLES)
    public List<String> importSamples(
            @QueryParam("by") @Nullable String by, @QueryParam("file") @Nullable String file, String table) {
        Actor person = asking.by(by);
        Loaded<List<SampleTable.Row>> loaded = SampleTable.read(file == null ? "table.csv" : file, table);
        List<SampleTable.Row> rows = loaded.value();
        List<String> problems = new ArrayList<>();
        loaded.problems().stream().map(Problem::toString).forEach(problems::add);
        Map<String, TransformerPicture> known = gateway.present().view().transformers();
        if (rows != null) {
            for (SampleTable.Row row : rows) {
                if (!known.containsKey(row.asset())) {
                    problems.add((file == null ? "table.csv" : file) + ":" + row.line()
                            + ":1: error: the station computes nothing of an asset `" + row.asset() + "`; write one of "
                            + String.join(", ", known.keySet()));
                }
            }
        }
        if (rows == null || !problems.isEmpty()) {
            throw Problems.wrong(null, String.join("\n", problems));
        }
        int entered = 0;
        for (SampleTable.Row row : rows) {
            boolean there = transformer(row.asset()).laboratory().stream()
                    .anyMatch(l -> l.sample().source().equals(row.sample().source())
                            && l.sample().at().equals(row.sample().at()));
            if (!there) {
                asking.carryOut(
                        new StationInput.EnterSample(row.asset(), row.sample(), row.reference(), person, asking.now()));
                entered++;
            }
        }
        return List.of(entered + " samples entered, " + (rows.size() - entered) + " known already");
    }

    private TransformerPicture transformer(String asset) {
        TransformerPicture transformer =
                gateway.present().committedView().transformers().get(asset);
        if (transformer == null) {
            throw Problems.missing("the station computes nothing of an asset `" + asset + "`");
        }
        return transformer;
    }
}
