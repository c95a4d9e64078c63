package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.ext.MessageBodyReader;
import jakarta.ws.rs.ext.Provider;
import java.io.IOException;
import java.io.InputStream;
import java.lang.annotation.Annotation;
import java.lang.reflect.Type;
import oilbird.gateway.contract.Received;
import org.jspecify.annotations.Nullable;

/** Reads the forms that come in, and says which key is at fault. */
@Provider
@Consumes(MediaType.APPLICATION_JSON)
public class FormReader implements MessageBodyReader<Object> {
    @Override
    public boolean isReadable(Class<?> type, Type generic, Annotation[] annotations, MediaType media) {
        return type.getPackageName().equals(Received.class.getPackageName());
    }

    @Override
    public @Nullable Object readFrom(
            Class<Object> type,
            Type generic,
            Annotation[] annotations,
            MediaType media,
            MultivaluedMap<String, String> headers,
            InputStream body)
            throws IOException {
        try {
            return Received.form(body.readAllBytes(), type);
        } catch (Received.WrongFormException e) {
            throw Problems.wrong(e.field(), String.valueOf(e.getMessage()));
        }
    }
}
