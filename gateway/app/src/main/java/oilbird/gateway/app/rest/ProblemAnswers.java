package oilbird.gateway.app.rest;

import oilbird.gateway.contract.ProblemForm;
import org.eclipse.microprofile.openapi.OASFactory;
import org.eclipse.microprofile.openapi.OASFilter;
import org.eclipse.microprofile.openapi.models.Operation;

/** Says in the description of the interface that every operation may answer with a problem. */
public final class ProblemAnswers implements OASFilter {
    @Override
    public Operation filterOperation(Operation operation) {
        operation
                .getResponses()
                .addAPIResponse(
                        "default",
                        OASFactory.createAPIResponse()
                                .description("Why it was not done, by RFC 9457.")
                                .content(OASFactory.createContent()
                                        .addMediaType(
                                                ProblemForm.MEDIA_TYPE,
                                                OASFactory.createMediaType()
                                                        .schema(OASFactory.createSchema()
                                                                .ref("ProblemForm")))));
        return operation;
    }
}
