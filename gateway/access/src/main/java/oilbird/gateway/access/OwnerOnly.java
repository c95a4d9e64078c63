package oilbird.gateway.access;

import java.io.IOException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFileAttributeView;
import java.nio.file.attribute.PosixFilePermission;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.stream.Stream;

/** Files that only the gateway's own user may read: made so, and looked after. */
public final class OwnerOnly {
    private static final Set<PosixFilePermission> FILE = PosixFilePermissions.fromString("rw-------");
    private static final Set<PosixFilePermission> FOLDER = PosixFilePermissions.fromString("rwx------");
    private static final int DEEPEST = 3;

    private OwnerOnly() {}

    /**
     * A file that was found open to others.
     *
     * @param tightened false where it still is.
     */
    public record Exposed(Path file, String was, boolean tightened) {
        @Override
        public String toString() {
            return file + " was " + was + (tightened ? " and is now the owner's only" : " and could not be tightened");
        }
    }

    /** Makes a folder that nobody else can enter; one that is there is left as it is. */
    static Path folder(Path folder) throws IOException {
        if (!Files.isDirectory(folder)) {
            Path parent = folder.getParent();
            if (parent != null) {
                Files.createDirectories(parent);
            }
            Files.createDirectory(folder, PosixFilePermissions.asFileAttribute(FOLDER));
            likeItsFolder(folder);
        }
        return folder;
    }

    /** Makes an empty file that nobody else can read, before anything is written to it. */
    static Path file(Path file) throws IOException {
        try {
            Files.createFile(file, PosixFilePermissions.asFileAttribute(FILE));
        } catch (FileAlreadyExistsException e) {
            Files.setPosixFilePermissions(file, FILE);
        }
        likeItsFolder(file);
        return file;
    }

    /** A command that another user runs, such as root, must not leave files that the gateway cannot read. */
    private static void likeItsFolder(Path file) throws IOException {
        Path folder = file.toAbsolutePath().getParent();
        if (folder != null && !Files.getOwner(folder).equals(Files.getOwner(file))) {
            Files.setOwner(file, Files.getOwner(folder));
        }
    }

    /** Takes from others what they may do with these files and folders, as far as the owner lets it. */
    public static List<Exposed> tighten(List<Path> secrets) throws IOException {
        List<Exposed> exposed = new ArrayList<>();
        for (Path secret : secrets) {
            if (Files.exists(secret)) {
                try (Stream<Path> inside = Files.walk(secret, DEEPEST)) {
                    for (Path each : inside.sorted().toList()) {
                        look(each, exposed);
                    }
                }
            }
        }
        return exposed;
    }

    private static void look(Path each, List<Exposed> exposed) throws IOException {
        if (Files.isSymbolicLink(each)) {
            return;
        }
        PosixFileAttributeView view =
                Files.getFileAttributeView(each, PosixFileAttributeView.class, LinkOption.NOFOLLOW_LINKS);
        if (view == null) {
            return;
        }
        Set<PosixFilePermission> now = view.readAttributes().permissions();
        Set<PosixFilePermission> owners = EnumSet.noneOf(PosixFilePermission.class);
        owners.addAll(now);
        owners.retainAll(FOLDER);
        if (owners.equals(now)) {
            return;
        }
        boolean tightened;
        try {
            view.setPermissions(owners);
            tightened = true;
        } catch (IOException e) {
            tightened = false;
        }
        exposed.add(new Exposed(each, PosixFilePermissions.toString(now), tightened));
    }
}
