// node clients.mjs BASE NHSNUMBER: two foreign client libraries pull a patient's record. Prints what each saw as one JSON object.
import { Client } from 'fhir-kit-client';
import fhirclient from 'fhirclient';

const [base, number] = process.argv.slice(2);
const identifier = `https://fhir.nhs.uk/Id/nhs-number|${number}`;
const status = async promise => {
  try {
    await promise;
    return 200;
  } catch (refused) {
    return refused.response?.status ?? refused.status ?? refused.statusCode ?? String(refused);
  }
};

async function withKit() {
  const client = new Client({ baseUrl: base });
  const statement = await client.capabilityStatement();
  const patient = (await client.resourceSearch({ resourceType: 'Patient', searchParams: { identifier } })).entry[0].resource;
  const posted = await client.resourceSearch({ resourceType: 'Procedure', searchParams: { 'patient.identifier': identifier }, options: { postSearch: true } });
  let [page, met, pages] = [await client.resourceSearch({ resourceType: 'Observation', searchParams: { patient: patient.id, _count: 7 } }), [], 0];
  for (const total = page.total; page && pages <= total; pages++) {
    met.push(...(page.entry ?? []).map(entry => entry.resource.id));
    page = page.link.some(link => link.relation === 'next') ? await client.nextPage({ bundle: page }) : undefined;
  }
  const total = (await client.resourceSearch({ resourceType: 'Observation', searchParams: { patient: patient.id, _summary: 'count' } })).total;
  const summary = (await client.resourceSearch({ resourceType: 'Composition', searchParams: { patient: patient.id } })).entry[0].resource;
  const document = await client.operation({ name: 'document', resourceType: 'Composition', id: summary.id, method: 'GET' });
  const everything = await client.operation({ name: 'everything', resourceType: 'Patient', id: patient.id, method: 'GET' });
  const history = await client.history({ resourceType: 'Composition', id: summary.id });
  const version = await client.vread({ resourceType: 'Composition', id: summary.id, version: '1' });
  const batch = await client.batch({ body: { resourceType: 'Bundle', type: 'batch', entry: [{ request: { method: 'GET', url: `Patient/${patient.id}` } }] } });
  return {
    fhirVersion: statement.fhirVersion,
    procedures: posted.total,
    met: met.length,
    distinct: new Set(met).size,
    total,
    pages,
    document: document.type,
    everything: everything.entry.some(entry => entry.resource.resourceType === 'Provenance'),
    history: history.type,
    version: version.meta.versionId,
    batch: batch.entry[0].resource.id === patient.id,
    create: await status(client.create({ resourceType: 'Patient', body: { resourceType: 'Patient' } })),
    conditional: await status(client.read({ resourceType: 'Patient', id: patient.id, options: { headers: { 'If-None-Match': 'W/"1"' } } })),
  };
}

async function withSmart() {
  const client = fhirclient(undefined, undefined).client({ serverUrl: base });
  const statement = await client.request('metadata');
  const patient = (await client.request(`Patient?identifier=${encodeURIComponent(identifier)}`)).entry[0].resource;
  const met = await client.request(`Observation?patient=${patient.id}&_count=7`, { pageLimit: 0, flat: true });
  const procedures = await client.request(`Procedure?patient=${patient.id}`);
  return {
    fhirVersion: statement.fhirVersion,
    met: met.length,
    distinct: new Set(met.map(observation => observation.id)).size,
    procedures: procedures.total,
    create: await status(client.create({ resourceType: 'Patient' })),
    unknown: await status(client.request('Patient/never')),
  };
}

console.log(JSON.stringify({ kit: await withKit(), smart: await withSmart() }));
