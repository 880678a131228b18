"""The run file: HDF5 layout, writer, reader and integrity; the only place that imports h5py."""
