"""One identity for each thing: tags, ports, head ends and splices, whatever they are called."""
