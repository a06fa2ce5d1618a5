// The two comparisons of audiograms that FHIRPath cannot express. Air conduction only; a frequency without a number is left out.

const part = (observation, code) => observation.component?.find(component => component.code.coding.some(coding => coding.code === code));

/** Threshold in dB HL by frequency in Hz. */
function thresholds(record, finding, ear) {
  const byFrequency = new Map();
  for (const { resource } of record.entry) {
    const isIt = resource.resourceType === 'Observation'
      && resource.code.coding.some(coding => coding.code === finding)
      && resource.bodySite?.coding.some(coding => coding.code === ear)
      && part(resource, 'threshold-conduction')?.valueCodeableConcept.coding.some(coding => coding.code === 'air');
    if (isIt && resource.valueQuantity) {
      const hertz = part(resource, 'threshold-frequency').valueQuantity.value;
      byFrequency.set(hertz, [...(byFrequency.get(hertz) ?? []), resource.valueQuantity.value]);
    }
  }
  return new Map([...byFrequency].filter(([, values]) => new Set(values).size === 1).map(([hertz, [value]]) => [hertz, value]));
}

/** Longest run of tested neighbours, at most an octave apart, that are 30 dB worse than before, than at an earlier visit, or than the other ear (AAO-HNSF 2019). */
export function worseRun(record, ear, otherEar) {
  const now = thresholds(record, 'audiogram-threshold', ear);
  const reference = [
    thresholds(record, 'audiogram-threshold-earlier', ear),
    thresholds(record, 'derived-audiogram-threshold', ear),
    thresholds(record, 'audiogram-threshold', otherEar),
  ].find(audiogram => audiogram.size > 0) ?? new Map();
  const tested = [...now.keys()].filter(hertz => reference.has(hertz)).sort((one, other) => one - other);
  if (tested.length === 0) {
    return [];
  }
  let [longest, run] = [0, 0];
  tested.forEach((hertz, index) => {
    const worse = now.get(hertz) - reference.get(hertz) >= 30;
    run = worse ? (index > 0 && hertz <= 2 * tested[index - 1] ? run + 1 : 1) : 0;
    longest = Math.max(longest, run);
  });
  return [longest];
}

/** 15 dB between the ears at two neighbours of 0.5, 1, 2, 4 and 8 kHz (NICE NG98); unknown while an untested frequency could decide it. */
export function asymmetry(record, ear, otherEar) {
  const [one, other] = [ear, otherEar].map(side => thresholds(record, 'audiogram-threshold', side));
  const differs = [500, 1000, 2000, 4000, 8000].map(hertz =>
    one.has(hertz) && other.has(hertz) ? Math.abs(one.get(hertz) - other.get(hertz)) >= 15 : undefined);
  const pairs = differs.slice(1).map((second, index) => [differs[index], second]);
  if (pairs.some(([first, second]) => first && second)) {
    return [true];
  }
  return pairs.every(([first, second]) => first === false || second === false) ? [false] : [];
}
