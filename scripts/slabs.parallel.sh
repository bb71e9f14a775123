#!/bin/sh
# A volume made in slabs under GNU parallel, then joined:
#
#   scripts/slabs.parallel.sh scan.json volume.nrrd 8 [more options of slices reconstruct, --engine plain say]
#
# JOBS=4 says how many slabs are made at a time, on as many cores with --engine plain; one a core when left out. Options for several machines
# (--sshlogin, with the project and the frames at the same place on each) go into GNU parallel's own variable PARALLEL. When a slab fails, the
# others go on; the same command again makes only what is missing. Slabs are kept beside the volume until it is there.
set -eu
[ $# -ge 3 ] || { echo 'usage: slabs.parallel.sh scan.json volume.nrrd slabs [options of slices reconstruct]' >&2; exit 2; }
scan=$1 volume=$2 slabs=$3
shift 3
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
slices=${SLICES:-node $here/slices.mjs}
parts=$volume.$slabs-slabs
mkdir -p "$parts"

# shellcheck disable=SC2086
parallel --quote --joblog "$parts/joblog" --resume-failed ${JOBS:+--jobs "$JOBS"} \
  $slices reconstruct "$scan" --slab "{}/$slabs" --out "$parts/part-{}.npy" "$@" ::: $(seq "$slabs")
$slices join "$parts"/part-*.npy --out "$volume"
rm -r "$parts"
