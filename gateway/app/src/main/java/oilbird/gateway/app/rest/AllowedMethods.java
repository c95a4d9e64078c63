package oilbird.gateway.app.rest;

import jakarta.enterprise.inject.Any;
import jakarta.enterprise.inject.spi.Bean;
import jakarta.enterprise.inject.spi.BeanManager;
import jakarta.inject.Singleton;
import jakarta.ws.rs.HttpMethod;
import jakarta.ws.rs.Path;
import java.lang.annotation.Annotation;
import java.lang.reflect.Method;
import java.util.ArrayList;
import java.util.List;
import java.util.TreeSet;
import java.util.regex.Pattern;

/** Which methods each address takes: an answer 405 has to say it (RFC 9110, 15.5.6), and the server does not. */
@Singleton
public class AllowedMethods {
    private record Address(Pattern path, String method) {}

    private final List<Address> addresses = new ArrayList<>();

    public AllowedMethods(BeanManager beans) {
        for (Bean<?> bean : beans.getBeans(Object.class, Any.Literal.INSTANCE)) {
            Path root = bean.getBeanClass().getAnnotation(Path.class);
            if (root != null) {
                for (Method method : bean.getBeanClass().getMethods()) {
                    add(root.value(), method);
                }
            }
        }
    }

    private void add(String root, Method method) {
        Path below = method.getAnnotation(Path.class);
        String path = below == null ? root : root + "/" + below.value();
        for (Annotation annotation : method.getAnnotations()) {
            HttpMethod http = annotation.annotationType().getAnnotation(HttpMethod.class);
            if (http != null) {
                Pattern pattern = Pattern.compile(path.replaceAll("/+", "/")
                        .replaceAll("\\{[^:{}]+: ?([^{}]+)}", "$1")
                        .replaceAll("\\{[^{}]+}", "[^/]+"));
                addresses.add(new Address(pattern, http.value()));
            }
        }
    }

    /** As the header Allow has it. */
    String of(String path) {
        TreeSet<String> methods = new TreeSet<>();
        for (Address address : addresses) {
            if (address.path().matcher(path).matches()) {
                methods.add(address.method());
            }
        }
        return String.join(", ", methods);
    }
}
